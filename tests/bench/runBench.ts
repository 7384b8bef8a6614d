import { changePointTable } from './changePointTable.js'
import { leastSquaresTable } from './leastSquaresTable.js'

// `npm run bench`: accuracy and time of the numeric core beside others. Times are processor time of one run on this machine;
// nothing passes or fails by them.
console.log([...leastSquaresTable(), '', ...changePointTable()].join('\n'))
