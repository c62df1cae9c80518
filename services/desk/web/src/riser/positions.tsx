import type { RiserView } from '@tidemark/api';
import { elementWords } from '../words/riser-words.ts';

/** The drawing in words: what is inferred, how surely, and why. For screen readers, printers and the doubtful. */
export function Positions({ view }: { readonly view: RiserView }) {
  return (
    <section className="positions">
      <h2>Inferred</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Position</th>
            <th scope="col">Certainty</th>
            <th scope="col">Why</th>
          </tr>
        </thead>
        <tbody>
          {view.positions.map(({ element, position, certainty, why }) => (
            <tr key={element}>
              <th scope="row">{elementWords[element]}</th>
              <td>{position}</td>
              <td className="figure">{certainty === 0 ? 'none' : certainty.toFixed(2)}</td>
              <td className="soft">{why}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
