import { afterAll, beforeAll, describe } from 'vitest';
import { makeMqttRig, mqttTraits } from '../../contract/mqtt-rig.ts';
import { describeSource } from '../../contract/source-contract.ts';
import { type Mosquitto, startMosquitto } from '../../machine/mosquitto.ts';
import { lacks } from '../../machine/what-this-machine-lacks.ts';

describe.skipIf(lacks('mosquitto'))('an outside broker', () => {
  let broker: Mosquitto;
  beforeAll(async () => {
    broker = await startMosquitto();
  });
  afterAll(() => broker.stop());

  describeSource('MQTT 3.1.1', mqttTraits, () => makeMqttRig(broker, 4));
  describeSource('MQTT 5.0', mqttTraits, () => makeMqttRig(broker, 5));
});
