/** How soon a person is needed, most urgent first; `none` needs nobody. */
export const urgencies = ['now', 'soon', 'when-convenient', 'none'] as const;

/** How soon a person is needed. */
export type Urgency = (typeof urgencies)[number];

/** Why a message went to quarantine. */
export const quarantineReasons = [
  'foreign-topic',
  'wrong-channel',
  'unknown-riser',
  'unsupported-content-type',
  'binary-mode',
  'empty-payload',
  'too-large',
  'not-utf8',
  'not-json',
  'duplicate-key',
  'too-deep',
  'not-a-cloud-event',
  'unsupported-type',
  'unknown-signal',
  'malformed-data',
  'malformed-link',
  'wrong-account',
  'wrong-riser',
  'malformed-contact-id',
  'wrong-checksum',
  'code-not-mapped',
] as const;
