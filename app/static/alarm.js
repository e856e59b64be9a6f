"use strict";
// What is due, on every page: the band, the count in the title, the tone, and the test of the tone.

// ---- What is due changes every page by itself: a band over it, the count in the title, a tone when something joins it. ----
const ASK_DUE_MS = 30_000;
const NO_SOUND_MS = 500;

async function tone() {
  const sound = new AudioContext(), note = sound.createOscillator(), loud = sound.createGain();
  await Promise.race([sound.resume(), new Promise((resolve) => setTimeout(resolve, NO_SOUND_MS))]);
  if (sound.state !== "running") { sound.close(); return; }  // the browser allows no sound before the first tap
  note.frequency.value = 880;
  loud.gain.setValueAtTime(0.25, sound.currentTime);
  loud.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + 0.9);
  note.connect(loud).connect(sound.destination);
  note.start();
  note.stop(sound.currentTime + 0.9);
  note.onended = () => sound.close();
}

async function askDue(band) {
  const answer = await fetchLive(band.dataset.alarm, band.known);
  if (answer.status >= 500) throw new Error(answer.status);
  if (!answer.ok) return;
  const text = await answer.text(), told = sessionStorage.getItem("told");
  band.known = answer.headers.get("ETag");
  sessionStorage.setItem("due", text);
  if (band.innerHTML !== text) band.innerHTML = text;
  const keys = alarmsIn(band);
  sessionStorage.setItem("told", keys.join(" "));  // it goes along to the next page: what falls due meanwhile sounds there
  showCount();
  if (told !== null && keys.some((key) => !told.split(" ").includes(key))) tone().catch(() => {});
}

function alarmsIn(band) {
  const due = band.querySelector("[data-key]");
  return due ? due.dataset.key.split(" ").filter(Boolean) : [];
}

function showCount() {
  const due = document.querySelector("[data-alarm] [data-count]"), title = document.title.replace(/^\(\d+\) /, "");
  document.title = due ? `(${due.dataset.count}) ${title}` : title;
}

// The server cannot be asked: what was known to fall due by now is told all the same, until it can.
function tellForeseen(band) {
  const due = [...band.querySelectorAll("template[data-from]")].filter((one) => Number(one.dataset.from) <= Date.now() + ahead);
  if (!due.length) return;
  const line = band.querySelector(".foreseen") || band.appendChild(document.createElement("p"));
  const text = [band.dataset.lost, ...due.map((one) => one.dataset.says)].join(" ");
  if (line.textContent === text) return;
  line.className = "foreseen";
  line.textContent = text;
  band.known = "";  // the next answer replaces it, whatever it says
  tone().catch(() => {});
}

function keepDue(band) {
  const again = () => askDue(band).catch(() => tellForeseen(band));
  band.again = again;
  band.innerHTML = sessionStorage.getItem("due") || "";  // at once, so that nothing on the page moves a moment later
  showCount();
  again();
  setInterval(again, ASK_DUE_MS);
  document.addEventListener("visibilitychange", again);
  window.addEventListener("online", again);
  window.addEventListener("pageshow", (event) => { if (event.persisted) again(); });  // gone back to
}

// What was just saved is due no more: the band that stays on the page is asked for again.
function askDueAgain() {
  for (const band of document.querySelectorAll("[data-alarm]")) if (band.again) band.again();
}

// ---- The test of the sound: the tone is played, then somebody says whether it was heard. ----
function bindSound(part) {
  part.hidden = false;
  const offered = part.closest("form").elements.sound_offered;
  if (offered) offered.value = "yes";
  part.querySelector("[data-tone]").addEventListener("click", () => tone().catch(() => {}));
}
