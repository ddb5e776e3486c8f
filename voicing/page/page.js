"use strict";
// Plays the strokes of the page on bells made of sines that die away, with a
// line that moves over the pictures.
(() => {
  const data = JSON.parse(document.getElementById("strokes").textContent);
  const get = id => document.getElementById(id);
  const panel = get("player"), play = get("play"), seek = get("seek"), where = get("where");
  const end = data.begins[data.begins.length - 1];
  const ahead = 0.4; // seconds that are handed to the audio clock before they sound
  const longest = 12; // seconds of a bell that are kept
  const full = 0.35; // of full scale, for the loudest stroke at half volume; the guard takes what is beyond full scale

  // bell makes the sound of a stroke at mf.
  function bell(partials, rate) {
    const seconds = Math.min(longest, Math.max(...partials.map(p => p[1])) * 0.8);
    const out = new Float32Array(Math.ceil(seconds * rate));
    for (const [hz, ring, level] of partials) {
      if (hz > 0.45 * rate) continue;
      const size = 10 ** (level / 20), turn = 2 * Math.PI * hz / rate, shrink = Math.exp(-3 * Math.LN10 / (ring * rate));
      const n = Math.min(out.length, Math.ceil(ring * 1.2 * rate));
      // A dying sine as a recurrence of the second order.
      const a = 2 * shrink * Math.cos(turn), b = -shrink * shrink;
      let y = 0, before = -size * Math.sin(turn) / shrink;
      for (let i = 0; i < n; i++) {
        out[i] += y;
        const next = a * y + b * before;
        before = y;
        y = next;
      }
    }
    const fade = Math.min(out.length, Math.ceil(0.1 * rate));
    for (let i = 0; i < fade; i++) out[out.length - 1 - i] *= i / fade;
    return out;
  }

  const rateOf = partials => Math.max(...partials.map(p => p[0])) < 9000 ? 24000 : 48000;

  let audio = null, volume = null, sounds = {};
  let timer = 0, base = 0, next = 0, playing = false, at = 0; // ms

  function sound(key) {
    if (!sounds[key]) {
      const rate = rateOf(data.bells[key]), samples = bell(data.bells[key], rate);
      sounds[key] = audio.createBuffer(1, samples.length, rate);
      sounds[key].copyToChannel(samples, 0);
    }
    return sounds[key];
  }

  function open() {
    if (audio) return;
    audio = new AudioContext();
    volume = audio.createGain();
    const guard = audio.createDynamicsCompressor(); // keeps many bells at once from clipping
    guard.threshold.value = -6;
    guard.ratio.value = 20;
    guard.attack.value = 0.002;
    volume.connect(guard).connect(audio.destination);
    setVolume();
  }

  function setVolume() {
    if (volume) volume.gain.value = full * (get("volume").value / 100) ** 2 * 4;
  }

  const wanted = i => { const which = get("hear").value; return which === "" || String(data.melody[i]) === which; };

  let out = null; // what sounds now goes through this, so that a stop is one
  function start(from) {
    open();
    audio.resume();
    stop();
    out = audio.createGain();
    out.connect(volume);
    at = Math.min(Math.max(from, 0), end);
    next = data.times.findIndex(t => t >= at - 1);
    if (next < 0) next = data.times.length;
    base = audio.currentTime + 0.15 - at / 1000;
    playing = true;
    play.textContent = "Pause";
    tick();
    timer = setInterval(tick, 60);
  }

  // finish ends the piece; what rings goes on ringing, for bells have no dampers.
  function finish() {
    clearInterval(timer);
    at = now();
    playing = false;
    play.textContent = "Play";
  }

  function stop() {
    if (playing) finish();
    if (!out) return;
    const old = out;
    out = null;
    old.gain.setTargetAtTime(0, audio.currentTime, 0.05);
    setTimeout(() => old.disconnect(), 400);
  }

  const now = () => playing ? Math.min(Math.max((audio.currentTime - base) * 1000, 0), end) : at;

  function tick() {
    const until = (audio.currentTime + ahead - base) * 1000;
    for (; next < data.times.length && data.times[next] < until; next++) {
      if (!wanted(next)) continue;
      const source = audio.createBufferSource(), gain = audio.createGain();
      source.buffer = sound(data.keys[next]);
      gain.gain.value = 10 ** (data.levels[next] / 200);
      source.connect(gain).connect(out);
      source.start(Math.max(audio.currentTime, base + data.times[next] / 1000));
    }
    // One bell that comes later is made now, so that none is made in haste.
    for (let i = next; i < data.times.length; i++) {
      if (!sounds[data.keys[i]]) { sound(data.keys[i]); break; }
    }
    if (now() >= end) { finish(); at = 0; }
    show();
  }

  // The place in the piece, and the line over the pictures.
  const line = document.createElement("i");
  line.className = "now";
  let shown = -1;

  function measureAt(t) {
    let low = 0, high = data.measures.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (data.begins[middle] <= t) low = middle; else high = middle - 1;
    }
    return low;
  }

  const clock = t => Math.floor(t / 60000) + ":" + String(Math.floor(t / 1000) % 60).padStart(2, "0");

  function show() {
    const t = now(), i = measureAt(t), cell = get("m" + data.measures[i]);
    const part = (t - data.begins[i]) / Math.max(1, data.begins[i + 1] - data.begins[i]);
    line.hidden = !playing && t === 0; // else it would cover the first notes
    line.style.left = 100 * Math.min(1, Math.max(0, part)) + "%";
    const text = "measure " + data.numbers[i] + ", " + clock(t) + " of " + clock(end);
    if (where.textContent !== text) where.textContent = text;
    if (i === shown) return;
    shown = i;
    for (const c of document.querySelectorAll(".sounding")) c.classList.remove("sounding");
    seek.value = i;
    seek.setAttribute("aria-valuetext", "measure " + data.numbers[i]);
    if (!cell) return;
    cell.classList.add("sounding");
    cell.querySelector(".pics").append(line);
    if (playing && get("follow").checked) {
      const box = cell.getBoundingClientRect();
      if (box.top < 0 || box.bottom > innerHeight - panel.offsetHeight) cell.scrollIntoView({ block: "center" });
    }
  }

  function go(t) {
    if (playing) start(t); else { at = t; show(); }
  }

  panel.hidden = false;
  seek.max = data.measures.length - 1;
  document.body.classList.add("ready");
  play.addEventListener("click", () => playing ? stop() : start(at));
  seek.addEventListener("input", () => go(data.begins[seek.value]));
  get("volume").addEventListener("input", setVolume);
  get("hear").addEventListener("change", () => { if (playing) start(now()); });
  document.addEventListener("click", e => {
    const pics = e.target.closest(".pics");
    if (!pics) return;
    const box = pics.getBoundingClientRect(), i = data.measures.indexOf(Number(pics.parentElement.dataset.i));
    if (i < 0) return;
    const part = Math.min(1, Math.max(0, (e.clientX - box.left) / box.width));
    start(data.begins[i] + part * (data.begins[i + 1] - data.begins[i]));
  });
  show();
})();
