// Fields that stand for what a list beside them names, such as the figures of the club that is chosen there. Once another is
// chosen they are still those of the last one, until the dashboard has answered: so long nobody types in them.

export class Locked {
  /** `busy()` tells whether the dashboard is at something. */
  constructor(busy) {
    this.held = [];
    addEventListener(
      "input", // a change does not come up to the page
      (event) => {
        const list = event.composedPath().find((item) => item.classList?.contains("picks"));
        if (!list) return;
        for (const item of list.parentNode.children) if (item !== list && item.style && !item.inert) this._hold(item);
        setTimeout(() => busy() || this.free());
      },
      true,
    );
  }

  _hold(item) {
    item.inert = true;
    item.style.opacity = 0.4;
    this.held.push(item);
  }

  /** They are those of the one that is chosen now. */
  free() {
    for (const item of this.held.splice(0)) {
      item.inert = false;
      item.style.opacity = "";
    }
  }
}
