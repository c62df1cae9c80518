import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import { refusal } from './rejection.ts';
import type { Refusal } from './rejection.ts';

/** What a content type promises: a form, or nothing, so that the payload has to tell. */
export type ContentForm = 'json' | 'contact-id' | 'unsaid';

/** The content type of a CloudEvent in structured mode (FACTS 7.25). */
export const cloudEventContentType = 'application/cloudevents+json';

/** The content type of a Contact ID block (CONTRACT 2). */
export const contactIdContentType = 'application/vnd.contact-id';

/**
 * Tells the form by the content type, parameters and case aside. `application/json` is taken for structured mode as
 * well: the CloudEvents binding would read it as the data of binary mode, but an event that carries its own
 * `specversion` has one meaning only, and data alone is refused as binary mode when it is read.
 */
export function contentForm(contentType: string | undefined): Result<ContentForm, Refusal> {
  if (contentType === undefined) return ok('unsaid');
  if (contentType === cloudEventContentType) return ok('json');
  const [type, ...parameters] = contentType.split(';').map((part) => part.trim().toLowerCase());
  const charset = parameters.find((parameter) => parameter.startsWith('charset='))?.slice('charset='.length);
  if (charset !== undefined && !/^"?(?:utf-8|us-ascii)"?$/.test(charset))
    return fail(refusal('unsupported-content-type', `The charset is ${charset}; expected utf-8.`));
  switch (type) {
    case undefined:
    case '':
      return ok('unsaid');
    case cloudEventContentType:
    case 'application/json':
      return ok('json');
    case contactIdContentType:
      return ok('contact-id');
    default:
      return fail(
        refusal(
          'unsupported-content-type',
          `The content type is "${type}"; expected ${cloudEventContentType} (structured mode; binary mode and batches are not accepted) or ${contactIdContentType}.`,
        ),
      );
  }
}
