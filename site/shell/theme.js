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
  // entries are taken early for who was here last, or for nobody yet; whom a link brings, only the dashboard can say
  var hash = location.hash;
  var seen = null;
  var other = false; // somebody may be stored here of whom nothing is noted
  try {
    seen = JSON.parse(localStorage.getItem("fettle-glance"));
    other = !seen && ["fettle-step", "fettle-checked"].some((key) => localStorage.getItem(key));
  } catch (error) {
    // nothing was kept
  }
  if (other || (hash && hash !== seen?.hash && hash !== "#player-" + seen?.player))
    document.documentElement.removeAttribute("data-early");
})();
