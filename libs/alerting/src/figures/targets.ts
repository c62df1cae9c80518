/** A figure that a station is measured by, and whose it is. */
export interface Target {
  readonly measure: string;
  readonly figure: string;
  readonly source: string;
}

/**
 * What the literature calls a load that one person can bear (FACTS 6.20 to 6.29). The figures are of process plants; they
 * tell how a station fares and never hold back a signal. ISA-18.2-2016 names no alarms a day any more.
 */
export const figureTargets: readonly Target[] = [
  {
    measure: 'alarms a day and operator',
    figure: '144, at most 288',
    source: 'IEC 62682-2014; ISA-18.2-2009 says about 150 and 300 (found in a trade article; 288 and 300 from memory)',
  },
  { measure: 'alarms in ten minutes', figure: '1, at most 2', source: 'a survey of 1998 in a trade article' },
  { measure: 'peak in ten minutes', figure: 'at most 10', source: 'ISA-18.2 (from memory)' },
  { measure: 'share of time in flood', figure: 'below 1 %', source: 'ISA-18.2 (from memory)' },
  { measure: 'chattering sources', figure: 'none', source: 'trade article; three times in a minute' },
  {
    measure: 'stale alarms',
    figure: 'below 5, with a plan',
    source: 'ISA-18.2 (from memory); active for more than 24 h',
  },
  {
    measure: 'priorities: low and medium, high, emergency',
    figure: 'about 80 %, 15 %, 5 %',
    source: 'ISA-18.2 as a trade article gives it',
  },
  { measure: 'share of the ten busiest sources', figure: '1 to 5 %', source: 'ISA-18.2 (from memory)' },
];
