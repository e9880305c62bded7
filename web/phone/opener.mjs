// What opens brotli in a browser that cannot do so itself. `make phone-opener`
// makes files/brotli.js of it.
import { decompress } from 'brotli/decompress';

self.openBrotli = decompress;
