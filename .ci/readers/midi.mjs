// Compares each NAME.mid of a folder, as undersong's tests left it, with what
// should be in it, NAME.strikes.json, read by an independent library:
//   @tonejs/midi  the time in seconds, number and velocity of every note, and
//                 the tempi with their times
//
//   node midi.mjs FOLDER
//
// Exit status: 0 all agree, 1 some do not, or there are none.
import { createRequire } from 'node:module';
import fs from 'node:fs';
import path from 'node:path';

const { Midi } = createRequire(import.meta.url)('@tonejs/midi');

// The library sums up times in floating point in its own way.
const near = (a, b) => Math.abs(a - b) < 1e-6 + 1e-9 * Math.abs(a);
const inOrder = (a, b) => a.seconds - b.seconds || a.key - b.key;

function notesOf(midi) {
  return midi.tracks.flatMap((t) => t.notes.map((n) => ({ seconds: n.time, key: n.midi, velocity: Math.round(n.velocity * 127) })));
}

// Where two sorted lists differ first, or null.
function difference(mine, theirs, same) {
  if (mine.length !== theirs.length) return `${mine.length}, read ${theirs.length}`;
  const i = mine.findIndex((m, k) => !same(m, theirs[k]));
  return i < 0 ? null : `${JSON.stringify(mine[i])}, read ${JSON.stringify(theirs[i])}`;
}

// Times that differ by less than a microsecond count as one, so that both
// lists are sorted alike.
const rounded = (n) => ({ ...n, seconds: Math.round(n.seconds * 1e6) / 1e6 });

const folder = process.argv[2];
let files = 0, strikes = 0, bad = 0;
const say = (...words) => { bad++; console.log(...words); };
for (const file of fs.readdirSync(folder).filter((f) => f.endsWith('.mid')).sort()) {
  const expected = JSON.parse(fs.readFileSync(path.join(folder, file.replace(/mid$/, 'strikes.json')), 'utf8'));
  const midi = new Midi(fs.readFileSync(path.join(folder, file)));
  const mine = expected.strikes.map(rounded).sort(inOrder);
  const theirs = notesOf(midi).map(rounded).sort(inOrder);
  const notes = difference(mine, theirs, (a, b) => near(a.seconds, b.seconds) && a.key === b.key && a.velocity === b.velocity);
  if (notes) say(`${file}: strikes: ours ${notes}`);
  const tempi = difference(expected.tempi, midi.header.tempos.map((t) => ({ seconds: t.time, perMinute: t.bpm })),
    (a, b) => near(a.seconds, b.seconds) && near(a.perMinute, b.perMinute));
  if (tempi) say(`${file}: tempi: ours ${tempi}`);
  files++;
  strikes += mine.length;
}
console.log(`${files} MIDI files, ${strikes} strikes read by @tonejs/midi, ${bad} differences`);
process.exit(bad || !files ? 1 : 0);
