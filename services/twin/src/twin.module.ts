import type { DynamicModule, InjectionToken, OnApplicationShutdown } from '@nestjs/common';
import { Inject, Module } from '@nestjs/common';
import type { LiveTwin } from './live-twin.ts';

/** The token under which other modules find the twin: its views, its health. */
export const TWIN: InjectionToken<LiveTwin> = Symbol('LiveTwin');

/** Ties the twin to the life of a Nest application: whoever builds it passes it in, and it is stopped with the application. */
@Module({})
export class TwinModule implements OnApplicationShutdown {
  readonly #twin: LiveTwin;

  constructor(@Inject(TWIN) twin: LiveTwin) {
    this.#twin = twin;
  }

  static with(adapters: { readonly twin: LiveTwin }): DynamicModule {
    return { module: TwinModule, providers: [{ provide: TWIN, useValue: adapters.twin }], exports: [TWIN] };
  }

  async onApplicationShutdown(): Promise<void> {
    await this.#twin.stop();
  }
}
