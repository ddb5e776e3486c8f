// Draws a score: MusicXML on standard input, on standard output a JSON list of
// its systems, {svg, measures}: the drawing, and how many measures are in it.
// Notes with an id of melody-N or interlude-N get a ring round the head.
//
// undersong has this script inside and runs it in the folder whose node_modules
// has the library, as here: node draw.mjs < SCORE.musicxml
import { readFileSync } from 'node:fs';

process.on('uncaughtException', (e) => {
  process.stderr.write(`${e.message}\n`);
  process.exit(1);
});

// The library's chatter is kept, to tell why nothing could be drawn.
const said = [];
for (const k of ['log', 'info', 'warn', 'error', 'debug']) console[k] = (...words) => said.push(words.join(' '));

const { VerovioToolkit } = await import('verovio/esm');
const { default: load } = await import('verovio/wasm');
const keep = (line) => said.push(line);
const toolkit = new VerovioToolkit(await load({ print: keep, printErr: keep }));

// A page so low holds one system: a browser can break between any two.
toolkit.setOptions({
  pageWidth: 2000, pageHeight: 100, pageMarginLeft: 50, pageMarginRight: 50, pageMarginTop: 20, pageMarginBottom: 20,
  adjustPageHeight: true, breaks: 'auto', header: 'none', footer: 'none',
  svgViewBox: true, svgRemoveXlink: true, svgFormatRaw: true,
});
if (!toolkit.loadData(readFileSync(0, 'utf8'))) throw new Error(`the library cannot read the score: ${said.at(-1) ?? 'no reason was given'}`);

// The notes of the melody and its interludes, and those that they are tied to.
const mei = toolkit.getMEI({});
const melody = new Set(mei.match(/(?<=xml:id=")(?:melody|interlude)-\d+(?=")/g));
for (const [tie] of mei.matchAll(/<tie [^>]*>/g)) {
  const [from, to] = ['startid', 'endid'].map((k) => tie.match(new RegExp(`${k}="#([^"]+)"`))?.[1]);
  if (melody.has(from) && to) melody.add(to);
}

const head = /(<g id="([^"]+)" class="note)("><g class="notehead"><use href="#(\w+)-\w+" transform="translate\(([-\d.]+), ([-\d.]+)\) scale\(([\d.]+), [\d.]+\)"\/>)/g;

// A whole note's head (E0A2 in SMuFL) is wider than the others. The ring keeps
// clear of a dot, three tenths of a staff space away.
function ring(all, note, id, rest, glyph, x, y, scale) {
  if (!melody.has(id)) return all;
  const half = (glyph === 'E0A2' ? 215 : 157) * scale;
  return `${note} melody${rest}<ellipse class="ring" cx="${Math.round(+x + half)}" cy="${y}" rx="${Math.round(half + 62 * scale)}" ry="${Math.round(190 * scale)}"/>`;
}

const systems = [];
for (let i = 1; i <= toolkit.getPageCount(); i++) {
  const svg = toolkit.renderToSVG(i);
  systems.push({ svg: svg.replace(head, ring), measures: svg.match(/ class="measure"/g)?.length ?? 0 });
}
process.stdout.write(JSON.stringify(systems));
