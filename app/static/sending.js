"use strict";
// Sending what is posted: once, and only to a server that is there. A pad sends by itself.

const SENT_MS = 8000, NO_ANSWER_MS = 5000;

// ---- A second tap while the first is on its way sends nothing. ----
function sendOnce(event) {
  const form = event.target, isAnswered = form.dataset.sent === "answered";
  if (event.defaultPrevented) return;
  if (form.dataset.sent && !isAnswered) { event.preventDefault(); return; }
  if (form.getAttribute("method") === "post" && !isAnswered) {  // a field may be called method, too
    event.preventDefault();
    form.dataset.sent = "asking";
    sendWhenAnswered(form, event.submitter);
    return;
  }
  form.dataset.sent = "yes";
  setTimeout(() => delete form.dataset.sent, SENT_MS);
}

// ---- The browser's own page about a server that is gone would take the form's place, and nothing typed would come back. ----
async function sendWhenAnswered(form, submitter) {
  while (!(await isServerThere())) {
    sayUnsent(form, submitter);
    await pause(TRY_AGAIN_MS);
    if (!form.isConnected) return;
  }
  form.dataset.sent = "answered";
  form.requestSubmit(submitter);
  if (form.dataset.sent === "answered") delete form.dataset.sent;  // what was typed meanwhile is not complete
}

// Something small that the program itself serves is asked for.
async function isServerThere() {
  const asked = { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(NO_ANSWER_MS) };
  const answer = await fetch(document.querySelector("link[rel=icon]").href, asked).catch(() => null);
  return Boolean(answer) && answer.status < 500;
}

function sayUnsent(form, submitter) {
  if (form.querySelector(".unsent")) return;
  const said = Object.assign(document.createElement("p"), { className: "unsent", textContent: document.documentElement.dataset.unsent });
  said.setAttribute("role", "status");
  if (submitter && form.contains(submitter)) submitter.before(said);
  else form.append(said);
}

// Gone back to: it may be sent again.
function forgetSent() {
  document.querySelectorAll("form").forEach((form) => delete form.dataset.sent);
  document.querySelectorAll(".unsent").forEach((said) => said.remove());
}

document.addEventListener("DOMContentLoaded", () => document.addEventListener("submit", sendOnce));
window.addEventListener("pageshow", forgetSent);
