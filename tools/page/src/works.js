// The works a band can be of, and what is asked for each; the keys are those of a piece file.

const yarn = { key: 'yarn', label: 'Yarn', kind: 'yarn' };
const held = { key: 'held', label: 'Strands held together', kind: 'whole' };
const split = { key: 'split_into', label: 'Split into', kind: 'whole', hint: 'roving pulled into so many' };
const rows = { key: 'rows', label: 'Rows', kind: 'whole' };
const perKnot = { key: 'ends_per_knot', label: 'Ends in a knot', kind: 'whole', hint: '2 unless said' };
const height = { key: 'height', label: 'Height', kind: 'text', hint: 'such as 8 cm or 3 1/4 in' };

export const kWorks = {
  weave: [
    yarn,
    { key: 'weave', label: 'Weave', kind: 'text', hint: 'plain, 2/2 twill, 2/2 basket, 5-end satin' },
    rows,
    height,
    { key: 'repeats', label: 'Repeats of the weave', kind: 'whole' },
    { key: 'beat', label: 'Beaten', kind: 'choice', options: ['weft-faced', 'balanced', 'warp-faced'] },
    { key: 'picks', label: 'Picks', kind: 'text', hint: 'such as 12 /cm, where you know them' },
    held,
    split,
    { key: 'areas', label: 'Areas of colour', kind: 'areas' },
    { key: 'grid', label: 'Rows in words', kind: 'lines', hint: 'bottom row first: o2 u2 is over two, under two' },
    { key: 'weft_angle', label: 'Weft at an angle', kind: 'text', hint: 'such as 12 deg' }
  ],
  soumak: [yarn, { key: 'over', label: 'Over ends', kind: 'whole' }, { key: 'back', label: 'Back ends', kind: 'whole' }, rows, held],
  twining: [yarn, { key: 'second_yarn', label: 'Second yarn', kind: 'yarn' }, { key: 'strands', label: 'Strands', kind: 'whole', hint: '2 unless said' }, { key: 'over', label: 'Ends in a group', kind: 'whole' }, rows, held],
  'looped pile': [yarn, split, { key: 'over', label: 'Over ends', kind: 'whole' }, { key: 'under', label: 'Under ends', kind: 'whole' }, rows, { key: 'loop_height', label: 'Loop height', kind: 'text', hint: 'such as 15 mm' }, { key: 'raised', label: 'Raised', kind: 'choice', options: ['by hand', 'over a gauge', 'over a rod along the pick'] }, held],
  'knotted pile': [yarn, held, { key: 'pile_height', label: 'Pile height', kind: 'text', hint: 'from the knot to the tip' }, rows, perKnot, { key: 'ground', label: 'Ground', kind: 'literal', hint: 'such as { yarn = "seine-12-6", picks_between = 2 }' }],
  'knotted fringe': [yarn, held, { key: 'hang', label: 'Hangs', kind: 'text', hint: 'from the knot, such as 14 cm' }, { key: 'trim', label: 'Trimmed off', kind: 'text' }, rows, perKnot, { key: 'card', label: 'Cut on a card this thick', kind: 'text', hint: 'such as 2 mm' }],
  wrapping: [yarn, { key: 'ends', label: 'Ends in a bundle', kind: 'whole' }, { key: 'places', label: 'Places', kind: 'whole' }, { key: 'turns', label: 'Turns', kind: 'whole' }, held],
  hemstitch: [yarn, { key: 'ends_per_stitch', label: 'Ends in a stitch', kind: 'whole' }, { key: 'rows_deep', label: 'Rows deep', kind: 'whole', hint: '2 unless said' }],
  gap: [height]
};

/** What a new band of a work begins as. */
export const kBegun = {
  weave: (yarn) => `yarn = ${yarn}\nrows = 20\n`,
  soumak: (yarn) => `yarn = ${yarn}\nover = 4\nback = 2\nrows = 2\n`,
  twining: (yarn) => `yarn = ${yarn}\nrows = 2\n`,
  'looped pile': (yarn) => `yarn = ${yarn}\nover = 3\nunder = 1\nrows = 4\nloop_height = "15 mm"\nraised = "by hand"\n`,
  'knotted pile': (yarn, warp) => `yarn = ${yarn}\nheld = 2\npile_height = "25 mm"\nrows = 3\nground = { yarn = ${warp}, picks_between = 2 }\n`,
  'knotted fringe': (yarn) => `yarn = ${yarn}\nheld = 3\nhang = "12 cm"\n`,
  wrapping: (yarn) => `yarn = ${yarn}\nends = 3\nplaces = 8\nturns = 10\n`,
  hemstitch: () => `ends_per_stitch = 3\n`,
  gap: () => `height = "2 cm"\n`
};

export const quoted = (text) => JSON.stringify(text);

/** A value as a piece file writes it. */
export function literalOf(field, text) {
  if (field.kind === 'whole') return /^\d+$/.test(text) ? text.replace(/^0+(?=\d)/, '') : quoted(text);
  if (field.kind === 'literal') return text;
  if (field.kind === 'lines') return `[${text.split('\n').filter((line) => line.trim()).map((line) => quoted(line.trim())).join(', ')}]`;
  return quoted(text);
}

function inlineOf(value) {
  if (Array.isArray(value)) return `[${value.map(inlineOf).join(', ')}]`;
  if (value && typeof value === 'object') {
    return `{ ${Object.entries(value).map(([key, inner]) => `${/^[A-Za-z0-9_-]+$/.test(key) ? key : quoted(key)} = ${inlineOf(inner)}`).join(', ')} }`;
  }
  return typeof value === 'string' ? quoted(value) : String(value);
}
export { inlineOf };

/** A value of a piece file as it stands in a field. */
export function shownIn(field, value) {
  if (value === undefined || value === null) return '';
  if (field.kind === 'lines') return Array.isArray(value) ? value.join('\n') : String(value);
  if (field.kind === 'literal') return inlineOf(value);
  return typeof value === 'object' ? inlineOf(value) : String(value);
}
