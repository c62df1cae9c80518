import type { Diagnosis, RiserView } from '@tidemark/api';
import { Failure } from '../parts/failure.tsx';
import { Moment } from '../parts/moment.tsx';
import { Cause } from '../riser/causes.tsx';
import { useCommand } from '../use-command.ts';
import { causeWords } from '../words/cause-words.ts';
import { severityWords, signalWords } from '../words/riser-words.ts';

type Reasoned = Diagnosis['findings'][number];
type Group = Reasoned['groups'][number];

interface Props {
  readonly reasoned: Reasoned;
  readonly view: RiserView;
  readonly isPast: boolean;
}

/** One finding: what it says, and its causes ranked, each with what speaks for and against it. */
export function Reasons({ reasoned, view, isPast }: Props) {
  const finding = view.findings.find(({ id }) => id === reasoned.finding);
  const name = reasoned.code.replaceAll('-', ' ');
  const { groups } = reasoned;
  const rest = 1 - groups.reduce((sum, { probability }) => sum + probability, 0);
  return (
    <section className="reasoned" aria-label={name}>
      <h2>
        {name}
        {finding !== undefined && <span className="soft">, {severityWords[finding.severity]}</span>}
      </h2>
      {finding !== undefined && <p>{finding.explanation}</p>}
      {finding !== undefined && finding.caution !== '' && <p className="caution">{finding.caution}</p>}
      <ol className="argued causes">
        {groups.map((group) => (
          <ArguedGroup key={group.causes.join()} group={group} zone={view.site.timeZone} />
        ))}
      </ol>
      {rest >= 0.005 && <p className="soft">Something else: {rest.toFixed(2)}</p>}
      <Check group={groups.find(({ outcomes }) => outcomes.length > 0)} view={view} isPast={isPast} />
    </section>
  );
}

function ArguedGroup({ group, zone }: { readonly group: Group; readonly zone: string }) {
  return (
    <li>
      <ol>
        <Cause words={group.causes.map((each) => causeWords[each])} probability={group.probability} />
      </ol>
      <Arguments title="For" list={group.for} zone={zone} />
      <Arguments title="Against" list={group.against} zone={zone} />
      {group.for.length + group.against.length === 0 && (
        <p className="soft">Nothing observed sets it apart from the others; this is how often it happens.</p>
      )}
    </li>
  );
}

interface ArgumentsProps {
  readonly title: string;
  readonly list: Group['for'];
  readonly zone: string;
}

/** Each sentence with the events it rests on. */
function Arguments({ title, list, zone }: ArgumentsProps) {
  if (list.length === 0) return null;
  return (
    <div className={`arguments ${title.toLowerCase()}`}>
      <h3>{title}</h3>
      <ul>
        {list.map(({ says, evidence }) => (
          <li key={says}>
            {says}
            {evidence.map(({ id, what, at }) => (
              <span key={id} className="cited">
                {signalWords(what)} <Moment at={at} zone={zone} />
              </span>
            ))}
            {evidence.length === 0 && <span className="cited none">no event cited</span>}
          </li>
        ))}
      </ul>
    </div>
  );
}

interface CheckProps {
  readonly group: Group | undefined;
  readonly view: RiserView;
  readonly isPast: boolean;
}

/** The check that would settle most. Its answer is an event with an author, and ranks the causes anew at once. */
function Check({ group, view, isPast }: CheckProps) {
  const { command, may, isBusy, failure } = useCommand(view);
  if (group === undefined) return null;
  const { check, checkId, outcomes } = group;
  const given = view.actions.filter(
    (action) => action.inEpisode && action.command.command === 'check-answered' && action.command.check === checkId,
  );
  return (
    <div className="settle">
      <h3>One check tells most</h3>
      <p>{check}</p>
      {given.map(({ id, by, at, command: answer }) => (
        <p key={id} className="soft">
          {by} recorded “{answer.command === 'check-answered' ? answer.found : ''}”,{' '}
          <Moment at={at} zone={view.site.timeZone} now={Date.parse(view.asOf)} />
        </p>
      ))}
      <ul className="outcomes">
        {outcomes.map(({ found, means }) => (
          <li key={found}>
            {!isPast && may('check-answered') && (
              <button
                type="button"
                disabled={isBusy}
                onClick={() => command({ command: 'check-answered', check: checkId, found })}
              >
                Found: {found}
              </button>
            )}
            {isPast && <strong>{found}</strong>}
            <span className="soft">
              {means.length === 0
                ? 'would speak for none of these'
                : `would speak for: ${means.map((each) => causeWords[each].toLowerCase()).join('; ')}`}
            </span>
          </li>
        ))}
      </ul>
      {!isPast && may('note') && (
        <button
          type="button"
          className="small"
          disabled={isBusy}
          onClick={() => command({ command: 'note', text: `Asked for the check ${checkId}: could not tell.` })}
        >
          Could not tell
        </button>
      )}
      {!isPast && <p className="soft">An answer is recorded with your name and cannot be taken back.</p>}
      {failure !== null && <Failure of={failure} />}
    </div>
  );
}
