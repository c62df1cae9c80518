import { useSyncExternalStore } from 'react';

const storageKey = 'tidemark.author';
const told = new Set<() => void>();

/** The name that actions carry. It is given, not proven: there is no login yet. */
export const author = (): string => localStorage.getItem(storageKey) ?? '';

/** Remembers the name on this machine. */
export function setAuthor(name: string): void {
  localStorage.setItem(storageKey, name);
  for (const tell of told) tell();
}

/** The name, and again whenever it changes. */
export const useAuthor = (): string =>
  useSyncExternalStore((tell) => {
    told.add(tell);
    return () => told.delete(tell);
  }, author);
