import type { Result } from '@tidemark/kernel';
import type { SignalName } from '@tidemark/signals';
import type { z } from 'zod';
import { profileFile } from './profile-schema.ts';
import type { FileMistake } from './yaml-reader.ts';
import { readYaml } from './yaml-reader.ts';

/** What is installed at one riser, defaults filled in and every quantity in SI (Pa, m3/s, m3/s/Pa^0.5, m, m3). */
export type Profile = Readonly<z.output<typeof profileFile>>;

/** One numbered point of a profile. */
export type ProfilePoint = Profile['points'][number];

/** Reads a `*.riser.yaml`; a mistake names the file, the line, the key and what was expected. */
export const parseProfile = (text: string, file: string): Result<Profile, readonly FileMistake[]> =>
  readYaml(profileFile, text, file);

/** Whether the riser reports such a signal at all: what it has no point for is never held against it. */
export const hasPoint = (profile: Profile, signal: SignalName): boolean =>
  profile.points.some((point) => point.signal === signal);

/** What a person calls the point. */
export const labelOf = (point: ProfilePoint): string => point.label ?? `point ${point.point} (${point.signal})`;
