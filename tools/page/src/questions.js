// The questions that a piece or the studio can be asked: a verb each, with the options of the command line.
// `seldom` stands behind "More to say"; `only: 'quote'` is of the quote and not of the answer.

const kConfidence = { key: 'confidence', label: 'How sure', kind: 'text', hint: '95 % unless said' };
const kPiece = { key: 'piece', label: 'Piece', kind: 'piece', blank: '(choose)' };
const kBand = { key: 'band', label: 'Band', kind: 'whole', hint: 'counted from the bottom' };

export const kOfAPiece = [
  {
    verb: 'howfar', title: 'How far does my yarn go?', needs: ['change'],
    fields: [
      { key: 'change', label: 'What may change', kind: 'text', hint: 'rows, repeats, height or hang of a band; ends; size; one or two, with a comma between', begins: 'size' },
      { key: 'stash', label: 'Yarn there is', kind: 'text', hint: 'the shelf unless said; such as rug-wool-ash 150 g, linen-fringe 80 m' },
      { key: 'areas', label: 'Ends go to', kind: 'choice', options: ['widest', 'in proportion'], seldom: true },
      { ...kConfidence, seldom: true }
    ]
  },
  {
    verb: 'enough', title: 'Midway: is there enough?', needs: ['band', 'rows', 'left'],
    fields: [
      { key: 'band', label: 'Band in work', kind: 'whole', hint: 'counted from the bottom' },
      { key: 'rows', label: 'Rows of it woven', kind: 'whole' },
      { key: 'left', label: 'What is left', kind: 'text', hint: 'with what is on the needle; such as 26 g or 50 m' },
      { key: 'yarn', label: 'Yarn', kind: 'yarn', hint: 'where the band has several' },
      { key: 'start', label: 'What there was at the start', kind: 'text' },
      { key: 'used', label: 'What was used', kind: 'text', hint: 'in place of the start', seldom: true },
      { key: 'lot', label: 'Lot it is of', kind: 'text', hint: 'whose row says what there was', seldom: true },
      { key: 'since-band', label: 'Counted from band', kind: 'whole', hint: 'where the start was weighed after the warp', seldom: true },
      { key: 'step', label: 'Step of the scale', kind: 'text', hint: '1 g unless said', seldom: true },
      { ...kConfidence, seldom: true }
    ]
  },
  {
    verb: 'swap', title: 'Another yarn in place of one', needs: ['yarn'],
    fields: [
      { key: 'yarn', label: 'Yarn to replace', kind: 'yarn' },
      { key: 'with', label: 'Only these in its place', kind: 'text', hint: 'ids with commas between; all that could serve unless said' },
      { key: 'in', label: 'Only there', kind: 'text', hint: 'warp, weft, cord, or numbers of bands' },
      { key: 'keep', label: 'Keep of its bands', kind: 'choice', options: ['rows', 'height', 'as stated'], seldom: true },
      { key: 'top', label: 'Show so many', kind: 'whole', hint: '5 unless said', seldom: true }
    ]
  },
  {
    verb: 'kit', title: 'Pack kits of it', needs: [],
    fields: [
      { key: 'kits', label: 'How many kits', kind: 'whole', hint: '1 unless said' },
      { key: 'class', label: 'Pupils who share one supply', kind: 'whole', hint: 'in place of kits' },
      { key: 'finish', label: 'Buyers who are to finish', kind: 'text', hint: '98 % unless said' },
      { key: 'sure', label: 'How sure of that', kind: 'text', hint: 'where few beginners were seen', seldom: true },
      { key: 'packed', label: 'Packed as', kind: 'choice', options: ['balls', 'lengths'], seldom: true }
    ]
  },
  {
    verb: 'price', title: 'What to charge', needs: [],
    fields: [
      { key: 'pieces', label: 'Pieces in the series', kind: 'whole', hint: 'one unless said' },
      { key: 'hourly-rate', label: 'Cost of an hour', kind: 'text', hint: 'as in studio.toml unless said' },
      { key: 'margin', label: 'Margin of the price', kind: 'text', hint: 'such as 30 %; or' },
      { key: 'markup', label: 'Markup on the cost', kind: 'text' },
      { key: 'minutes', label: 'Minutes of work', kind: 'whole', hint: 'as logged or stated unless said' },
      { key: 'prices', label: 'Prices of put-ups', kind: 'text', hint: 'such as rug-wool-ash=7.90; as under Yarns unless said', seldom: true },
      { key: 'woven', label: 'Woven before', kind: 'whole', hint: 'of the series', seldom: true },
      { key: 'yarn-by', label: 'Yarn is charged by', kind: 'choice', options: ['use', 'put-up'], seldom: true },
      { ...kConfidence, label: 'How sure the lowest price is', seldom: true },
      { key: 'for', label: 'Quote for', kind: 'text', only: 'quote' },
      { key: 'until', label: 'Quote holds until', kind: 'text', hint: 'such as 2026-12-24', only: 'quote' }
    ]
  }
];

export const kBuy = {
  verb: 'buy', title: 'What to buy for the planned pieces', needs: [],
  fields: [
    { key: 'enough', label: 'How sure that it suffices', kind: 'text', hint: '95 % unless said; or' },
    { key: 'running-out', label: 'What running out costs you', kind: 'text', hint: 'such as 40: a band woven again, a customer who waits' }
  ]
};

export const kWeaveNext = {
  verb: 'weave-next', title: 'Which swatch teaches most?', needs: [],
  fields: [
    { key: 'minutes', label: 'Minutes at most', kind: 'whole' },
    { key: 'grams', label: 'Grams at most', kind: 'text' },
    { key: 'pieces', label: 'Only for these pieces', kind: 'text', hint: 'with commas between; all planned ones unless said' },
    { key: 'top', label: 'Show so many', kind: 'whole', hint: '5 unless said' }
  ]
};

/** What is written down besides swatches: a word of `record`, with columns of its table. */
export const kWrittenDown = [
  {
    kind: 'minutes', title: 'Minutes spent',
    fields: [
      kPiece, kBand,
      { key: 'rows', label: 'Rows', kind: 'whole', hint: 'that were woven in these minutes' },
      { key: 'minutes', label: 'Minutes', kind: 'text' },
      { key: 'date', label: 'Day', kind: 'text', hint: 'today unless said' },
      { key: 'note', label: 'Note', kind: 'text' }
    ]
  },
  {
    kind: 'finished', title: 'A finished piece',
    fields: [
      kPiece,
      { key: 'yarn', label: 'Yarn', kind: 'yarn' },
      { key: 'used-g', label: 'Used, g', kind: 'text' },
      { key: 'lot', label: 'Dye lot', kind: 'text' },
      { ...kBand, hint: 'where a height is of one band' },
      { key: 'height-cm', label: 'Height, cm', kind: 'text' },
      { key: 'measured-width-cm', label: 'Width, cm', kind: 'text' },
      { key: 'state', label: 'Measured', kind: 'choice', blank: '(not said)', options: ['on the loom', 'off the loom', 'washed', 'finished'] },
      { key: 'note', label: 'Note', kind: 'text' }
    ]
  },
  {
    kind: 'lot', title: 'A bought lot',
    fields: [
      { key: 'yarn', label: 'Yarn', kind: 'yarn', blank: '(choose)' },
      { key: 'lot', label: 'Dye lot', kind: 'text' },
      { key: 'net-g', label: 'Net, g', kind: 'text' },
      { key: 'bought', label: 'Bought', kind: 'text', hint: 'the day, such as 2026-03-14' }
    ]
  }
];

export const labelsOf = (question) => Object.fromEntries(question.fields.map((field) => [field.key, field.label]));
