import { describeSource } from '../../contract/source-contract.ts';
import { embeddedTraits, makeEmbeddedRig } from './broker-rig.ts';

describeSource('the embedded broker', embeddedTraits, makeEmbeddedRig);
