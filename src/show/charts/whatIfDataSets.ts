/** Names of the live chart's data sets: rows of `x` (minutes), `y` (watts), `order`; labels have `text` and `colour`. */
export const whatIfDataSets = { projected: 'projected', tested: 'tested', labels: 'labels' } as const
