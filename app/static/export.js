"use strict";
// How far a file is while it is made: its first column is the day. Without the script the link saves it as well.
for (const offer of document.querySelectorAll("[data-export]")) {
  const link = offer.querySelector("[data-download]");
  const progress = offer.querySelector("[data-progress]");
  const said = progress.querySelector("[data-said]");
  const days = Number(offer.dataset.days);
  const dayOf = (text) => Date.parse(text) / 86_400_000;

  function tell(part, first) {
    const line = part.lastIndexOf("\n", part.length - 2);
    const day = dayOf(part.slice(line + 1, line + 11));
    if (Number.isNaN(day)) return;
    const done = Math.min(days, Math.max(1, day - first + 1));
    progress.querySelector("progress").value = done;
    said.textContent = said.dataset.said.replace("#", done).replace("@", days);
  }

  async function save() {
    const answer = await fetch(offer.dataset.export);
    if (!answer.ok || !answer.headers.has("X-Days")) throw new Error(answer.status);
    const reader = answer.body.getReader();
    const parts = [], words = new TextDecoder();
    const first = dayOf(new URL(offer.dataset.export, location).searchParams.get("first"));
    for (let got = await reader.read(); !got.done; got = await reader.read()) {
      parts.push(got.value);
      tell(words.decode(got.value, { stream: true }), first);
    }
    const file = document.createElement("a");
    file.href = URL.createObjectURL(new Blob(parts, { type: "text/csv" }));
    file.download = offer.dataset.file;
    file.click();
    URL.revokeObjectURL(file.href);
    progress.querySelector("progress").value = days;
    said.textContent = said.dataset.done;
  }

  link.addEventListener("click", (event) => {
    event.preventDefault();
    progress.hidden = false;
    link.setAttribute("aria-disabled", "true");
    save().catch(() => { said.textContent = said.dataset.failed; }).finally(() => link.removeAttribute("aria-disabled"));
  });
}
