// Compares what undersong read in each NAME.musicxml of a folder, as its tests
// left it in NAME.notes.json, with what two independent readers find there:
//   musicxml-io  every note's part, measure, onset, length and pitch
//   verovio      the number of notes
//
//   node compare.mjs FOLDER
//
// Exit status: 0 all agree, 1 some do not, or there are none to read.
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import fs from 'node:fs';
import path from 'node:path';

const require = createRequire(import.meta.url);
const { parse } = require('musicxml-io');
const log = console.log;
for (const k of ['log', 'info', 'warn', 'error', 'debug']) console[k] = () => {};
const { VerovioToolkit } = await import(pathToFileURL(require.resolve('verovio/esm').replace(/\.cjs$/, '.mjs')));
const makeModule = (await import(pathToFileURL(require.resolve('verovio/wasm')))).default;
let toolkit = new VerovioToolkit(await makeModule({ print() {}, printErr() {} }));

const steps = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

// The notes by the second reader, as "part measure onset length pitch", times
// in quarter notes, cursor and divisions followed as the standard says.
function notesOf(text) {
  const notes = [];
  parse(text).parts.forEach((part, p) => {
    let divisions = 1;
    part.measures.forEach((measure, m) => {
      let at = 0, chord = 0;
      if (measure.attributes?.divisions) divisions = measure.attributes.divisions;
      for (const e of measure.entries) {
        if (e.type === 'attributes' && e.attributes?.divisions) divisions = e.attributes.divisions;
        if (e.type === 'backup') at = Math.max(0, at - e.duration / divisions);
        if (e.type === 'forward') at += e.duration / divisions;
        if (e.type !== 'note') continue;
        const length = e.grace ? 0 : (e.duration ?? 0) / divisions;
        const onset = e.chord ? chord : at;
        if (!e.chord) { chord = at; at += length; }
        if (e.rest) continue;
        const pitch = !e.pitch ? 0 : 12 * (e.pitch.octave + 1) + steps[e.pitch.step] + (e.pitch.alter ?? 0);
        notes.push([p, m, onset.toFixed(4), length.toFixed(4), pitch].join(' '));
      }
    });
  });
  return notes.sort();
}

async function count(text) {
  try {
    if (!toolkit.loadData(text)) return null;
    return (toolkit.getMEI({}).match(/<note[\s>/]/g) || []).length;
  } catch {
    toolkit = new VerovioToolkit(await makeModule({ print() {}, printErr() {} }));
    return null;
  }
}

// What verovio does not load as written: a measure under a repeat sign is
// drawn as the sign, non-controlling measures are not read.
const notCounted = ['measure-repeat.musicxml', 'measure-non-controlling.musicxml'];

const folder = process.argv[2];
let agreed = 0, counted = 0, bad = 0;
const say = (...words) => { bad++; log(...words); };
for (const file of fs.readdirSync(folder).filter((f) => f.endsWith('.musicxml')).sort()) {
  const text = fs.readFileSync(path.join(folder, file), 'utf8');
  const ours = JSON.parse(fs.readFileSync(path.join(folder, file.replace(/musicxml$/, 'notes.json')), 'utf8'));
  const mine = ours.map((n) => [n.part, n.measure, n.onset.toFixed(4), n.length.toFixed(4), n.pitch].join(' ')).sort();
  const theirs = notesOf(text);
  if (mine.join('\n') === theirs.join('\n')) agreed++;
  else {
    const only = (a, b) => a.filter((x) => !b.includes(x)).slice(0, 3).join(' | ');
    say(`${file}: ours ${mine.length}, musicxml-io ${theirs.length}; only ours: ${only(mine, theirs)}; only theirs: ${only(theirs, mine)}`);
  }
  const n = notCounted.includes(file) ? null : await count(text);
  if (n === null || n === mine.length) counted += n !== null;
  else say(`${file}: ours ${mine.length} notes, verovio ${n}`);
}
log(`${agreed} files agree with musicxml-io note for note, ${counted} with verovio in number, ${bad} do not`);
process.exit(bad || !agreed || !counted ? 1 : 0);
