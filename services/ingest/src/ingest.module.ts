import { Module } from '@nestjs/common';
import type { DynamicModule, InjectionToken, OnApplicationShutdown } from '@nestjs/common';
import type { Ingest } from './ingest.ts';

/** The token under which other modules find ingest: its health, its flow, and `publish`. */
export const INGEST: InjectionToken<Ingest> = Symbol('Ingest');

/** Closes ingest with the application. */
class IngestShutdown implements OnApplicationShutdown {
  readonly #ingest: Ingest;

  constructor(ingest: Ingest) {
    this.#ingest = ingest;
  }

  async onApplicationShutdown(): Promise<void> {
    await this.#ingest.close();
  }
}

/** Ties ingest to the life of a Nest application: whoever builds it passes it in. */
@Module({})
export class IngestModule {
  static with(adapters: { readonly ingest: Ingest }): DynamicModule {
    return {
      module: IngestModule,
      providers: [
        { provide: INGEST, useValue: adapters.ingest },
        { provide: IngestShutdown, inject: [INGEST], useFactory: (ingest: Ingest) => new IngestShutdown(ingest) },
      ],
      exports: [INGEST],
    };
  }
}
