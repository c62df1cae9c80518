import { useSyncExternalStore } from 'react';
import type { RiserKey } from '@tidemark/api';

/** Everything the page shows is in its address, so that a link opens the same picture. */
export type Address =
  | {
      readonly screen: 'watch';
      readonly key: RiserKey | undefined;
      readonly finding?: string;
      readonly asOf?: string;
      readonly form?: RecordForm;
    }
  | { readonly screen: 'events'; readonly key: RiserKey }
  | { readonly screen: 'quarantine' }
  | {
      readonly screen: 'diagnose';
      readonly key: RiserKey;
      readonly asOf?: string;
      /** The other moment that this one is compared with. */
      readonly against?: string;
    }
  | { readonly screen: 'report'; readonly key: RiserKey; readonly asOf?: string }
  | { readonly screen: 'crew'; readonly key: RiserKey }
  | { readonly screen: 'shift'; readonly account?: string }
  | { readonly screen: 'people' }
  | { readonly screen: 'me' };

const forms = ['call', 'dispatch', 'note', 'declare', 'shelve'] as const;

/** Which form is open on a riser, and what it is about: whom to call, who is sent, which alert is shelved. */
export interface RecordForm {
  readonly name: (typeof forms)[number];
  readonly about?: string;
}

/** Reads an address; what is not one of ours shows the watch. */
export function readAddress(path: string, search: string): Address {
  const [first, account, riser] = path.split('/').filter(Boolean).map(decodeURIComponent);
  if (first === 'quarantine' || first === 'people' || first === 'me') return { screen: first };
  if (first === 'shift') return { screen: 'shift', ...(account === undefined ? {} : { account }) };
  const key = account !== undefined && riser !== undefined ? { account, riser } : undefined;
  if ((first === 'events' || first === 'crew') && key !== undefined) return { screen: first, key };
  const query = new URLSearchParams(search);
  const finding = query.get('finding');
  const asOf = query.get('asOf');
  const against = query.get('against');
  if (first === 'report' && key !== undefined) return { screen: 'report', key, ...(asOf === null ? {} : { asOf }) };
  if (first === 'diagnose' && key !== undefined)
    return {
      screen: 'diagnose',
      key,
      ...(asOf === null ? {} : { asOf }),
      ...(against === null ? {} : { against }),
    };
  return {
    screen: 'watch',
    key: first === 'risers' ? key : undefined,
    ...(finding === null ? {} : { finding }),
    ...(asOf === null ? {} : { asOf }),
    ...formIn(query),
  };
}

function formIn(query: URLSearchParams): { readonly form?: RecordForm } {
  const name = forms.find((each) => each === query.get('form'));
  const about = query.get('about');
  return name === undefined ? {} : { form: { name, ...(about === null ? {} : { about }) } };
}

/** Writes an address as a path with its query. */
export function pathOf(address: Address): string {
  if (address.screen === 'events' || address.screen === 'crew')
    return `/${address.screen}/${address.key.account}/${address.key.riser}`;
  if (address.screen === 'report') {
    const moment = address.asOf === undefined ? '' : `?asOf=${encodeURIComponent(address.asOf)}`;
    return `/report/${address.key.account}/${address.key.riser}${moment}`;
  }
  if (address.screen === 'diagnose') {
    const query = new URLSearchParams();
    if (address.asOf !== undefined) query.set('asOf', address.asOf);
    if (address.against !== undefined) query.set('against', address.against);
    return `/diagnose/${address.key.account}/${address.key.riser}${query.size === 0 ? '' : `?${query.toString()}`}`;
  }
  if (address.screen === 'shift') return address.account === undefined ? '/shift' : `/shift/${address.account}`;
  if (address.screen !== 'watch') return `/${address.screen}`;
  if (address.key === undefined) return '/';
  const query = new URLSearchParams();
  if (address.finding !== undefined) query.set('finding', address.finding);
  if (address.asOf !== undefined) query.set('asOf', address.asOf);
  if (address.form !== undefined) query.set('form', address.form.name);
  if (address.form?.about !== undefined) query.set('about', address.form.about);
  const text = query.toString();
  return `/risers/${address.key.account}/${address.key.riser}${text === '' ? '' : `?${text}`}`;
}

const moved = new Set<() => void>();

/** Goes to an address. `replace` leaves no trace in the history, for what the page chose by itself. */
export function goTo(address: Address, how: 'push' | 'replace' = 'push'): void {
  const path = pathOf(address);
  if (how === 'replace') history.replaceState(null, '', path);
  else history.pushState(null, '', path);
  for (const tell of moved) tell();
}

/** The address the page stands at. */
export function useAddress(): Address {
  const text = useSyncExternalStore(subscribe, () => location.pathname + location.search);
  const [path = '/', search = ''] = text.split('?');
  return readAddress(path, search);
}

function subscribe(tell: () => void): () => void {
  moved.add(tell);
  addEventListener('popstate', tell);
  return () => {
    moved.delete(tell);
    removeEventListener('popstate', tell);
  };
}

/** One text for a riser, for keys of lists and caches. */
export const keyText = ({ account, riser }: RiserKey): string => `${account}/${riser}`;
