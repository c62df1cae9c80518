import { onTestFinished } from 'vitest';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';
import { WireDoor } from '../support/kurrentdb-double/wire-door.ts';
import { describeWireDrills } from '../support/kurrentdb-wire-drills.ts';

describeWireDrills('a protocol double', async () => {
  const double = await DoubleCluster.start();
  onTestFinished(() => double.stop());
  const door = await WireDoor.before({ host: '127.0.0.1', port: double.leader.door.port });
  onTestFinished(() => door.shut());
  const url = `kurrentdb://127.0.0.1:${door.port}?tls=false`;
  return { url, door, directUrl: double.url, namespace: 'drill' };
});
