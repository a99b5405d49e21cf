// The server's interface, with the types made from its own description.
import createClient from 'openapi-fetch';

import type { paths } from './schema';

export const api = createClient<paths>();
