/** The oldest release of Node that the station runs on, as in package.json. */
const oldest = [20, 19] as const;

/** What to tell whoever started the station with an older Node; nothing where it is new enough. */
export function tooOld(version: string): string | undefined {
  const [major = 0, minor = 0] = version.replace(/^v/, '').split('.').map(Number);
  if (major > oldest[0] || (major === oldest[0] && minor >= oldest[1])) return undefined;
  return `Tidemark needs Node ${oldest.join('.')} or newer; this is Node ${version.replace(/^v/, '')}.`;
}
