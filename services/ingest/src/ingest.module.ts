import { Inject, Module } from '@nestjs/common';
import type { DynamicModule, InjectionToken, OnApplicationShutdown } from '@nestjs/common';
import type { Ingest } from './ingest.ts';

/** The token under which other modules find ingest: its health, its flow, and `publish`. */
export const INGEST: InjectionToken<Ingest> = Symbol('Ingest');

/** Ties ingest to the life of a Nest application: whoever builds it passes it in, and it is closed with the application. */
@Module({})
export class IngestModule implements OnApplicationShutdown {
  readonly #ingest: Ingest;

  constructor(@Inject(INGEST) ingest: Ingest) {
    this.#ingest = ingest;
  }

  static with(adapters: { readonly ingest: Ingest }): DynamicModule {
    return {
      module: IngestModule,
      providers: [{ provide: INGEST, useValue: adapters.ingest }],
      exports: [INGEST],
    };
  }

  async onApplicationShutdown(): Promise<void> {
    await this.#ingest.close();
  }
}
