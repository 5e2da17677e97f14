// Runs before the first paint, so that the remembered look does not flash by. Kept tiny: it blocks.
(function () {
  try {
    var look = JSON.parse(localStorage.getItem("fettle-look") || "{}");
    var allowed = { theme: ["light", "dark"], contrast: ["high"], size: ["large"] };
    for (var key in allowed)
      if (allowed[key].indexOf(look[key]) >= 0) document.documentElement.setAttribute("data-" + key, look[key]);
  } catch (error) {
    // no storage here: the device's own preferences decide
  }
})();
