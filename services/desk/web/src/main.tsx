import '@fontsource-variable/inter/wght.css';
import './styles/tokens.css';
import './styles/base.css';
import './styles/watch.css';
import './styles/riser.css';
import './styles/drawing.css';
import './styles/records.css';
import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { invariant } from '@tidemark/kernel';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './app.tsx';
import { LiveStore } from './live/live-store.ts';
import { LiveContext } from './live/use-live.ts';

const cache = new QueryClient({
  // The stream says what changed; nothing is asked for on a hunch, and a failure is shown at once.
  defaultOptions: { queries: { retry: false, refetchOnWindowFocus: false, refetchOnReconnect: false } },
});

const live = new LiveStore((key) => {
  void cache.invalidateQueries({ queryKey: key === undefined ? ['riser'] : ['riser', key] });
  void cache.invalidateQueries({ queryKey: ['quarantine'] });
});

const place = document.getElementById('page');
invariant(place !== null, 'the page has its place');
createRoot(place).render(
  <StrictMode>
    <QueryClientProvider client={cache}>
      <LiveContext value={live}>
        <App />
      </LiveContext>
    </QueryClientProvider>
  </StrictMode>,
);
