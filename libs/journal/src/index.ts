export * from './journal.ts';
