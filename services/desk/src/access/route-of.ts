import type { Route, RouteName } from '@tidemark/api';
import { routes } from '@tidemark/api';
import type { Type } from '@nestjs/common';
import { RequestMethod } from '@nestjs/common';
import { invariant } from '@tidemark/kernel';
import { nestPath } from '../http/desk-address.ts';

const table = Object.entries(routes) as readonly [RouteName, Route][];

/** A method of a controller, as Nest hands it over. */
export type Handler = (...given: never[]) => unknown;

/** The entry of the route table that a controller's method answers, by what its decorators say; undefined if it is in none. */
export function routeOf(handler: Handler): Route | undefined {
  const path: unknown = Reflect.getMetadata('path', handler);
  const method: unknown = Reflect.getMetadata('method', handler);
  const name = method === RequestMethod.GET ? 'get' : method === RequestMethod.POST ? 'post' : undefined;
  return table.find(([, route]) => nestPath(route) === path && route.method === name)?.[1];
}

/**
 * Holds controllers and table together when the desk starts: an address that the table does not know has no rule of
 * access, and one that nobody answers is a promise not kept. Either is a bug, and the desk does not start with it.
 */
export function everyRouteIsRuled(controllers: readonly Type[]): void {
  const handlers = controllers.flatMap(handlersOf);
  for (const [name, handler] of handlers)
    invariant(routeOf(handler) !== undefined, `the route table holds what ${name} answers`);
  for (const [name, route] of table)
    invariant(
      handlers.filter(([, handler]) => routeOf(handler) === route).length === 1,
      `exactly one method answers the route ${name}`,
    );
}

function handlersOf(controller: Type): readonly (readonly [string, Handler])[] {
  const prototype = controller.prototype as Readonly<Record<string, unknown>>;
  return Object.getOwnPropertyNames(prototype).flatMap((name) => {
    const method = name === 'constructor' ? undefined : prototype[name];
    if (typeof method !== 'function' || Reflect.getMetadata('path', method) === undefined) return [];
    return [[`${controller.name}.${name}`, method as Handler] as const];
  });
}
