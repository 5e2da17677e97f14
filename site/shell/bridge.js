// Keeps the drawn document and Python's in step, one change at a time: the next goes out only when the last is done.

export class DocumentBridge {
  constructor(worker) {
    this.worker = worker;
    this.document = null;
    this.open = false; // Python takes changes
    this.busy = false;
    this.taking = false; // a change of Python's is being drawn
    this.queue = [];
    this.listener = (event) => this.changed(event);
  }

  // Draw a document and keep it; roots: {root id: element id}.
  async draw(json, roots) {
    const page = document.getElementById("page");
    for (const view of Object.values(globalThis.Bokeh.index.roots ?? [])) view.remove?.();
    page.replaceChildren(
      ...Object.entries(roots).map(([root, id]) => {
        const element = document.createElement("div");
        element.id = id;
        element.dataset.rootId = root;
        return element;
      }),
    );
    const items = [{ docid: "fettle", roots, root_ids: Object.keys(roots) }];
    const [views] = await globalThis.Bokeh.embed.embed_items({ fettle: json }, items);
    this.document?.remove_on_change?.(this.listener);
    this.queue = [];
    this.document = [...(views.roots ?? views).values()][0].model.document;
    this.document.on_change(this.listener, false);
  }

  changed(event) {
    if (this.taking || !this.open) return;
    if (this.busy) {
      // Of one property only the newest value matters.
      const same = (e) => event.attr && e.model === event.model && e.attr === event.attr;
      this.queue = this.queue.filter((e) => !same(e));
      this.queue.push(event);
    } else this.send([event]);
  }

  send(events) {
    this.busy = true;
    this.worker.postMessage({ type: "patch", text: JSON.stringify(this.document.create_json_patch(events)) });
  }

  idle() {
    this.busy = false;
    if (this.queue.length) this.send(this.queue.splice(0));
  }

  take(text) {
    this.taking = true;
    try {
      this.document.apply_json_patch(JSON.parse(text));
    } finally {
      this.taking = false;
    }
  }
}
