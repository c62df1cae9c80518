/** On every screen of the demo: nobody may take what it shows for a real site. */
export const DemoBanner = () => (
  <p className="demo-banner" role="note">
    <strong>Demo:</strong> invented site, simulated signals
  </p>
);
