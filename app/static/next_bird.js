"use strict";
// The next bird is painted at once: while a reading is on its way to the server, the next one is typed.
// One reading at a time is on its way. The part of the page that it was typed on is kept until the server has it.

let onItsWay = null;  // the reading that the server does not have yet

// ---- One after another: a reading that is saved while another is on its way waits for it, its number where it stands. ----
async function isTurnOf(form, saving) {
  if (!onItsWay) return true;
  saving.textContent ||= saving.dataset.saves;
  await onItsWay.answered;
  return form.isConnected;  // refused: the page shows why, and what was typed here since comes back
}

// The second of two quick taps meets the pad of the next bird, on which nothing is typed yet.
const DOUBLE_TAP_MS = 700;
let wasJustSaved = false;

function isSecondTap(form) {
  return Boolean(form.dataset.follow) && !form.elements.temperature.value && (wasJustSaved || onItsWay !== null);
}

function chosen(form, name) {
  return form.querySelector(`[name=${name}]:checked`);
}

// ---- What comes after this reading, by the table of the page; null where only the server can tell. ----
function comesAfter(form) {
  const now = form.querySelector("[data-now]"), typed = form.elements.temperature.value.replace(",", ".").trim();
  const unit = form.querySelector("[data-unit]").textContent.slice(-1), bird = chosen(form, "bird"), place = chosen(form, "place");
  if (!now || !form.elements.looked_up.value || !bird || !place || form.elements.observed_at.value) return null;
  const row = JSON.parse(form.dataset.follow)[`${bird.value} ${place.value}`];
  if (!row) return null;
  const isMet = bandOf(form, `[data-band="${unit}"]`, Number(typed)).dataset.verdict === "met";
  const said = { bird: bird.value, place: place.closest("label").textContent.trim(), reading: `${typed}\u00a0°${unit}` };
  return { next: row[isMet ? 1 : 0], isMet, typed, bird: bird.value, said };
}

function say(words, said) {
  return words.replace(/\{(\w+)\}/g, (_all, name) => said[name]);
}

// ---- The pad as it stands for the next bird: the same spit with what was read on it, or the next spit, fetched before. ----
function emptied(form) {
  const main = form.closest("main"), fields = form.elements;
  for (const name of ["temperature", "held_s", "note", "shown_for", "looked_up", "confirmed", "seen_at"]) if (fields[name]) fields[name].value = "";
  fields.entry_id.value = newId();
  delete form.dataset.sent;
  delete form.dataset.typed;
  form.classList.remove("typing");
  clearTimeout(form.settling);
  Object.assign(form, { question: null, isSettled: undefined, leaving: null, nextPage: null });
  form.forgetAsked();
  nameSave(form, "", "");
  main.querySelectorAll(".message, [data-now] > *, [data-meaning] > :not(input)").forEach((part) => part.remove());
}

// The pad that is shown goes on to the next bird where it stands: little is painted anew. Gives it as it was, to be put
// back where the reading is not saved.
function sameSpit(form, after) {
  const main = form.closest("main"), before = main.cloneNode(true), [bird, place] = after.next.split(" ");
  emptied(form);
  const drawn = form.querySelector(`[name=bird][value="${after.bird}"]`).closest("label"), held = drawn.querySelector(".held b");
  if (!held || Number(held.textContent) >= Number(after.typed)) {  // a bird on its rod holds its lowest reading
    drawn.className = `bird ${after.isMet ? "good" : "low"}`;
    drawn.querySelector(".held").replaceChildren(Object.assign(document.createElement("b"), { textContent: after.typed }));
  }
  countTyped(main, { isNew: !held });
  form.querySelector(`[name=bird][value="${bird}"]`).checked = true;
  form.querySelector(`[name=place][value="${place}"]`).checked = true;
  bringBack(form);
  return before;
}

// What was typed counts at once, marked as being sent; what a pull would mean is told by the server alone.
function countTyped(main, { isNew }) {
  const counted = main.querySelector("[data-probed]"), pulled = main.querySelector("[data-unknown]");
  counted.dataset.probed = Number(counted.dataset.probed) + (isNew ? 1 : 0);
  counted.textContent = say(counted.dataset.counting, counted.dataset);
  pulled.textContent = pulled.dataset.unknown;
}

// Numbers at random are there on a page without TLS, too; a ready-made UUID is not.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 15) | 64;
  bytes[8] = (bytes[8] & 63) | 128;
  const text = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return text.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

// The pad of the next spit is fetched when the last number of this one begins to be typed.
async function fetchNext(form) {
  const bird = chosen(form, "bird"), place = chosen(form, "place"), address = form.dataset.nextSpit;
  const row = bird && place && JSON.parse(form.dataset.follow)[`${bird.value} ${place.value}`];
  if (!address || !row || !row.includes("") || form.leaving) return;
  form.leaving = new AbortController();
  const answer = await fetch(address, { signal: form.leaving.signal });
  if (answer.ok) form.nextPage = new DOMParser().parseFromString(await answer.text(), "text/html");
}

function nextSpit(form) {
  const page = form.nextPage;
  return page && page.querySelector("form[data-follow]") && { main: page.querySelector("main"), title: page.title, url: form.dataset.nextSpit };
}

// ---- Saving behind the next pad. False where the form must stay: the server alone knows what comes next. ----
function saveBehind(form, url, data, submitter) {
  const who = document.querySelector("[data-who]"), isAsked = who && !who.querySelector("[data-leaves]");  // who is saving
  const after = form.dataset.follow && !isAsked && submitter && submitter.matches(".save") && comesAfter(form);
  if (form.leaving && !form.nextPage) form.leaving.abort();
  const next = after && !after.next && nextSpit(form);
  if (!after || !(after.next || next)) return false;
  const here = { main: form.closest("main"), title: document.title, url: location.href };
  here.main.isBound = wasJustSaved = true;
  setTimeout(() => { wasJustSaved = false; }, DOUBLE_TAP_MS);
  if (next) turnTo(next);
  else here.main = sameSpit(form, after);
  const sent = here.main.querySelector("form[data-follow]"), saving = document.querySelector("main [data-saving]");
  saving.textContent = say(form.dataset.savingOne, after.said);
  saving.tabIndex = -1;
  saving.focus({ preventScroll: true });
  scrollTo(0, 0);
  onItsWay = { form: sent, here, said: after.said, answered: keepTrying(sent, url, data) };
  return true;
}

function turnTo({ main, title, url }) {
  document.querySelector("main").replaceWith(main);
  history.replaceState(null, "", url);
  document.title = title;
  showCount();
  if (!main.isBound) bind(main);
  main.isBound = true;
}

async function keepTrying(form, url, data) {
  for (;;) {
    const answer = await post(url, data);
    if (answer) {
      const text = await answer.text();
      await letGo();
      onItsWay = null;
      delete form.dataset.sent;
      return answer.status === 201 ? saved(text, answer.headers.get("Content-Location"), form) : refused(text, url);
    }
    notSaved();
    await pause(TRY_AGAIN_MS);
  }
}

function typedAhead() {
  const form = document.querySelector("main form[data-follow]");
  return form && form.elements.temperature.value ? form : null;
}

// The server is gone: the number is put back, or named where the next one is being typed.
function notSaved() {
  const { form, here, said } = onItsWay;
  if (!form.isConnected && !typedAhead()) turnTo(here);
  const saving = document.querySelector("main [data-saving]");
  if (!saving) return;
  saving.textContent = form.isConnected ? saving.dataset.saving : say(form.dataset.notSaved, said);
  saving.classList.add("failed");
}

// The server has it: the page is made new around what was typed since. What is in hand stays: the bird that was shown.
function saved(text, url, form) {
  const shown = document.querySelector("main form[data-follow]"), page = new DOMParser().parseFromString(text, "text/html");
  if (!shown || shown === form) return exchange(text, url);
  const isSame = new URL(url, location).pathname === location.pathname;
  if (shown.dataset.sent || !isSame) return tellSaved(page);
  const focus = document.activeElement && document.querySelector("main").contains(document.activeElement) && document.activeElement.id;
  show(page, location.href);
  carryOver(shown, document.querySelector("main form[data-follow]"));
  const again = document.getElementById(focus || "") || document.querySelector("main .message");
  if (again) { again.tabIndex = again.matches(".message") ? -1 : again.tabIndex; again.focus({ preventScroll: true }); }
}

function tellSaved(page) {
  document.querySelectorAll("main > .message").forEach((part) => part.remove());
  document.querySelector("main").prepend(...page.querySelectorAll("main > .message"));
  const saving = document.querySelector("main [data-saving]");
  saving.textContent = "";
  saving.classList.remove("failed");
}

function carryOver(from, to) {
  for (const name of ["temperature", "held_s", "observed_at", "note"]) if (from.elements[name]) to.elements[name].value = from.elements[name].value;
  const chosenHere = [...from.querySelectorAll("[type=radio]:checked")].map((one) => to.querySelector(`[name="${one.name}"][value="${one.value}"]`));
  const others = chosenHere.filter((one) => one && !one.checked);
  for (const one of others) one.checked = true;
  to.querySelector("details").open ||= from.querySelector("details").open;
  if (others.length) to.dispatchEvent(new Event("change", { bubbles: true }));
  if (to.elements.temperature.value) to.elements.temperature.dispatchEvent(new Event("input", { bubbles: true }));
}

// ---- Refused: the page says why. What was typed since for another bird is kept for a while, and comes back on its pad. ----
const KEPT_MS = 5 * 60_000;

function refused(text, url) {
  const form = typedAhead(), bird = form && chosen(form, "bird"), place = form && chosen(form, "place");
  if (bird && place) {
    const kept = { path: location.pathname, spit: form.dataset.spit, bird: bird.value, place: place.value, typed: form.elements.temperature.value, at: Date.now() };
    sessionStorage.setItem("typed ahead", JSON.stringify(kept));
  }
  exchange(text, url);
}

function bringBack(form) {
  const kept = JSON.parse(sessionStorage.getItem("typed ahead") || "null");
  if (!kept) return;
  const isHere = kept.path === location.pathname && !form.elements.temperature.value;
  if (Date.now() - kept.at > KEPT_MS || isHere) sessionStorage.removeItem("typed ahead");
  else form.querySelector("[data-saving]").textContent = say(form.dataset.kept, { ...kept, reading: kept.typed });
  if (!isHere || Date.now() - kept.at > KEPT_MS) return;
  for (const name of ["bird", "place"]) form.querySelector(`[name=${name}][value="${kept[name]}"]`).checked = true;
  form.elements.temperature.value = kept.typed;
  form.elements.temperature.dispatchEvent(new Event("input", { bubbles: true }));
}

function bindNext(form) {
  form.addEventListener("input", () => fetchNext(form).catch(() => {}));
  bringBack(form);
}

// ---- Nothing is exchanged under a finger: a key that is pressed is still there when it is let go. ----
const TAP_MS = 80;
let pressedFor = 0;

addEventListener("pointerdown", () => { clearTimeout(pressedFor); pressedFor = setTimeout(() => { pressedFor = 0; }, 20 * TAP_MS); }, true);
addEventListener("pointerup", () => { clearTimeout(pressedFor); pressedFor = setTimeout(() => { pressedFor = 0; }, TAP_MS); }, true);

async function letGo() {
  while (pressedFor) await pause(TAP_MS / 4);
}
