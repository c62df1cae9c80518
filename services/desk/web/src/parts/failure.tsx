import { StationRefused } from '../server.ts';

/** What went wrong, in the station's own words where it had any. */
export function Failure({ of }: { readonly of: Error }) {
  const detail = of instanceof StationRefused ? detailOf(of) : of.message;
  return (
    <p className="failure" role="alert">
      <strong>Not done.</strong> {detail}
    </p>
  );
}

function detailOf({ problem }: StationRefused): string {
  const issues = (problem.issues ?? []).map(({ path, message }) => `${path}: ${message}`);
  return [`${problem.title}.`, problem.detail, ...issues].filter(Boolean).join(' ');
}
