/** On every screen of the demo: nobody may take what it shows for a real site. */
export const DemoBanner = () => (
  <aside className="demo-banner" aria-label="Demo">
    <strong>Demo:</strong> invented site, simulated signals
  </aside>
);
