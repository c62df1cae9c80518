/** The one pattern of the page: what nobody can see from here, and what is too old to be shown as true. */
export function HatchDefinition() {
  return (
    <svg width="0" height="0" className="definitions" aria-hidden="true">
      <defs>
        <pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line x1="0" y1="0" x2="0" y2="5" className="hatch-line" />
        </pattern>
      </defs>
    </svg>
  );
}
