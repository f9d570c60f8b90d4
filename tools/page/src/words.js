// What a verb says, in words for the page: an option of the command line is a field here, a verb a place to press.

const kPlaces = [
  [/,? as in: (?:ellwand .*|--columns '.*')$/gm, ''],
  [/\n?^ellwand calibrate \S+ --dry-run --why .*$/gm, ''],
  [/^Off: half of the amounts are nearer\.$\n?/gm, ''], // stands at the head of the table here
  [/^Not on the list: .*, which comes out again.*$\n?/gm, ''], // stands in the table of what is lent here
  [/'ellwand record STUDIO minutes'/g, '"Minutes spent" under Swatches'],
  [/; ellwand calibrate \S+ takes it in/g, '; "Calibrate" under Swatches takes it in'],
  [/run (?:'ellwand calibrate'|ellwand calibrate)(?:, or 'ellwand calibrate --back')?/g, 'press "Calibrate" under Swatches'],
  [/'ellwand calibrate --back'/g, '"Go back to the calibration before" under Swatches'],
  [/'?ellwand calibrate'?(?: \/?studio)?/g, '"Calibrate" under Swatches'],
  [/'ellwand estimate --freeze'/g, '"Keep this estimate" under Pieces'],
  [/'ellwand start another-folder --demo'/g, '"Look round an invented one" at the beginning'],
  [/; ellwand record --help tells what each takes/g, ''],
  [/If it is not as it was meant: --amend with what should stand there, or --undo, after 'record \S+ \S+'\./g, 'If it is not as it was meant, take it back.'],
  [/give --prices (\S+)/g, 'write $1 under --prices'],
  [/the same with --write writes it/g, '"Write it" writes it'],
  [/--with a yarn tells why it cannot/g, 'a yarn named under "Only these in its place" is told why it cannot'],
  [/--with a yarn tells why/g, 'a yarn named under "Only these in its place" is told why'],
  [/,? as --help lists them/g, ''],
  [/,? --help lists them\.?/g, ''],
  [/'record (\w+)' needs/g, 'Missing:'],
  [/as in --(?:in|yarn|with) /g, 'as in '],
  [/write --\S+ (\S+)/g, 'write $1'],
  [/\((?:the )?\[(price|kit|buy|swap)\]\)/g, '([$1] of studio.toml)'],
  [/\b(of|in|under \[\w+\] of) studio\.toml\b/g, '$1 studio.toml (under Files)'],
  [/^ellwand: /gm, '']
];

/** @param labels the labels of the verb's fields by the names of their options */
export function onThePage(told, labels = {}) {
  let text = told;
  for (const [from, to] of kPlaces) text = text.replace(from, to);
  text = text.replace(/--([a-z]+(?:-[a-z]+)*)/g, (_, name) => `"${labels[name] ?? name.replaceAll('-', ' ')}"`);
  return text.trim();
}
