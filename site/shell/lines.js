// Fields for one line of text after another. Enter hands the line to the dashboard as a message and frees the field at once,
// so that the next line can be typed while Python is still at the last one, and no answer, however late, takes its text.

/** The field of such a kind in which an event happened. */
function fieldOf(event) {
  const [field] = event.composedPath();
  return field.tagName === "INPUT" && field.getRootNode().host?.classList.contains("clears") ? field : null;
}

export class Lines {
  /** `say(kind, payload)` hands a message to the dashboard in turn with all else. */
  constructor(say) {
    this.say = say;
    this.typing = null; // the field with a text that was not handed over yet, and that text
    const on = (type, act) =>
      addEventListener(
        type,
        (event) => {
          const field = fieldOf(event);
          if (!field) return;
          event.stopPropagation(); // Python never holds what stands in the field
          act(field, event);
        },
        true,
      );
    on("input", (field) => (this.typing = { field, text: field.value }));
    on("change", (field) => this.typing?.field === field && this._take(field)); // it was left
    on("keyup", () => {});
    on("keydown", (field, event) => {
      if (event.key !== "Enter" || event.isComposing) return;
      event.preventDefault();
      if (!event.repeat && field.value) this._take(field);
    });
  }

  /** A line goes to the dashboard. One that had come back and is as it was stays until the dashboard says otherwise. */
  _take(field) {
    const text = field.value;
    if (this.typing?.field === field) field.value = "";
    this.typing = null;
    this.say("line", { label: field.getRootNode().querySelector("label").textContent.trim(), text });
  }

  /** What is being typed stays, whatever the dashboard has put in its place. */
  keep() {
    const { field, text } = this.typing ?? {};
    if (field?.isConnected && field.value !== text) field.value = text;
  }
}
