import '@fontsource-variable/inter/wght.css';
import './styles/tokens.css';
import './styles/base.css';
import './styles/watch.css';
import './styles/riser.css';
import './styles/drawing.css';
import './styles/record.css';
import './styles/records.css';
import './styles/diagnose.css';
import './styles/crew.css';
import './styles/report.css';
import './styles/access.css';
import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { invariant } from '@tidemark/kernel';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { Entrance } from './access/entrance.tsx';
import { WhoStore } from './access/who-store.ts';
import { App } from './app.tsx';

const cache = new QueryClient({
  // The stream says what changed; nothing is asked for on a hunch, and a failure is shown at once.
  defaultOptions: { queries: { retry: false, refetchOnWindowFocus: false, refetchOnReconnect: false } },
});

const who = new WhoStore();

const place = document.getElementById('page');
invariant(place !== null, 'the page has its place');
createRoot(place).render(
  <StrictMode>
    <QueryClientProvider client={cache}>
      <Entrance store={who}>
        <App />
      </Entrance>
    </QueryClientProvider>
  </StrictMode>,
);
