// The questions that a piece or the studio can be asked: a verb each, with the options of the command line.

const kConfidence = { key: 'confidence', label: 'How sure', kind: 'text', hint: '95 % unless said' };

export const kOfAPiece = [
  {
    verb: 'howfar', title: 'How far does my yarn go?', needs: ['change'],
    fields: [
      { key: 'change', label: 'What may change', kind: 'text', list: ['ends', 'size', 'rows of band 1'], hint: 'rows, repeats, height or hang of a band; ends; size; one or two, with a comma between', begins: 'size' },
      { key: 'stash', label: 'Yarn there is', kind: 'text', hint: 'the shelf unless said; such as rug-wool-ash 150 g, linen-fringe 80 m' },
      { key: 'areas', label: 'Ends go to', kind: 'choice', options: ['widest', 'in proportion'] },
      kConfidence
    ]
  },
  {
    verb: 'enough', title: 'Midway: is there enough?', needs: ['band', 'rows', 'left'],
    fields: [
      { key: 'band', label: 'Band in work', kind: 'whole' },
      { key: 'rows', label: 'Rows of it woven', kind: 'whole' },
      { key: 'left', label: 'What is left', kind: 'text', hint: 'such as 26 g or 50 m' },
      { key: 'yarn', label: 'Yarn', kind: 'yarn', hint: 'where the band has several' },
      { key: 'start', label: 'What there was at the start', kind: 'text' },
      { key: 'step', label: 'Step of the scale', kind: 'text', hint: '1 g unless said' },
      kConfidence
    ]
  },
  {
    verb: 'swap', title: 'Another yarn in place of one', needs: ['yarn'],
    fields: [
      { key: 'yarn', label: 'Yarn to replace', kind: 'yarn' },
      { key: 'with', label: 'Only these in its place', kind: 'text', hint: 'ids with commas between; all that could serve unless said' },
      { key: 'in', label: 'Only there', kind: 'text', hint: 'warp, weft, cord, or numbers of bands' },
      { key: 'keep', label: 'Keep of its bands', kind: 'choice', options: ['rows', 'height', 'as stated'] },
      { key: 'top', label: 'Show so many', kind: 'whole', hint: '5 unless said' }
    ]
  },
  {
    verb: 'kit', title: 'Pack kits of it', needs: ['kits'],
    fields: [
      { key: 'kits', label: 'How many kits', kind: 'whole', begins: '1' },
      { key: 'finish', label: 'Buyers who are to finish', kind: 'text', hint: '98 % unless said' },
      { key: 'packed', label: 'Packed as', kind: 'choice', options: ['balls', 'lengths'] },
      { key: 'class', label: 'Pupils who share one supply', kind: 'whole', hint: 'in place of kits' }
    ]
  },
  {
    verb: 'price', title: 'What to charge', needs: [],
    fields: [
      { key: 'pieces', label: 'Pieces in the series', kind: 'whole', hint: 'one unless said' },
      { key: 'hourly-rate', label: 'Cost of an hour', kind: 'text', hint: 'as in studio.toml unless said' },
      { key: 'margin', label: 'Margin of the price', kind: 'text', hint: 'such as 30 %; or' },
      { key: 'markup', label: 'markup on the cost', kind: 'text' },
      { key: 'minutes', label: 'Minutes of work', kind: 'whole', hint: 'as logged or stated unless said' },
      { key: 'yarn-by', label: 'Yarn is charged by', kind: 'choice', options: ['use', 'put-up'] },
      { key: 'for', label: 'Quote for', kind: 'text', only: 'quote' }
    ]
  }
];
