/** Everything on the riser that somebody or something can turn. */
export const valveNames = [
  'supply',
  'prime',
  'solenoid',
  'manual-release',
  'system-drain',
  'supply-drain',
  'auxiliary-drain',
  'alarm-test',
  'alarm-line',
] as const;

/** A valve of the riser: `supply` and `alarm-line` are the main and the isolating valve, `prime` the priming valve. */
export type ValveName = (typeof valveNames)[number];

/** The contacts of the riser, named as the signals they give. */
export const contactNames = [
  'waterflow',
  'prime-pressure-low',
  'supply-pressure-low',
  'supply-valve',
  'prime-valve',
  'alarm-line-valve',
] as const;

/** A contact of the riser. */
export type ContactName = (typeof contactNames)[number];

/** Places in the arrays of positions, by valve. */
export const valveIndex = Object.fromEntries(valveNames.map((name, index) => [name, index])) as Readonly<
  Record<ValveName, number>
>;

/** Places in the arrays of contacts, by contact. */
export const contactIndex = Object.fromEntries(contactNames.map((name, index) => [name, index])) as Readonly<
  Record<ContactName, number>
>;
