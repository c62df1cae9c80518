// Reads an AsyncAPI document from standard input and prints what the AsyncAPI project's own parser makes of it.
// A process of its own: Vitest runs Node with `--conditions import`, under which the parser's CommonJS dependencies
// get ES modules from `require` and fail to load.
import { text } from 'node:stream/consumers';
import { Parser } from '@asyncapi/parser';

const { document, diagnostics } = await new Parser().parse(await text(process.stdin));

process.stdout.write(
  JSON.stringify({
    problems: diagnostics.map(({ code, message, path }) => `${code} ${path.join('.')}: ${message}`),
    addresses:
      document
        ?.channels()
        .all()
        .map((channel) => channel.address()) ?? [],
    operations:
      document
        ?.operations()
        .all()
        .map((operation) => [operation.id(), operation.action()]) ?? [],
  }),
);
