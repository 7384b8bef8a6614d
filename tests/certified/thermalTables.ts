/**
 * Published thermal networks of power semiconductors.
 *
 * `THERMAL_SHEETS`: R-C thermal model parameter sheets (document numbers in `sheet`), made by the method of W. McDaniel and
 * K. Pandya (2002), A simple method of generating thermal models for a power MOSFET, IEEE SEMITHERM. Foster resistances in K/W
 * and time constants (R C) in s as printed; impedances in K/W at times in s and exact Cauer ladders recomputed from them in
 * extended precision. `printedCauer`: the sheets' own Cauer fits of the same measurement, a separate fit each.
 *
 * `FOSTER_EXAMPLE`: T. Schuetze (2008), Thermal equivalent circuit models, application note AN2008-03, V1.0.
 */
export const THERMAL_SHEETS = [
  {
    sheet: 'R-C Thermal Model Parameters, document 70428, rev. 02-Apr-07, junction to ambient',
    fosterR: [327.5464, 123.5765, 88.0766, 293.8005],
    fosterTauS: [1.79063066, 0.022479455, 52.052513141, 0.63452094],
    impedance: [
      [0.0001, 0.61327],
      [0.001, 6.024054],
      [0.01, 50.808872],
      [0.1, 182.929473],
      [1.0, 498.455345],
      [10.0, 759.088009],
      [100.0, 820.102028],
      [1000.0, 833.0],
    ],
    cauerR: [153.88543357, 477.64325668, 121.47147612, 79.99983363],
    cauerC: [0.00016273525, 0.0014744882, 0.012189919, 0.63634283],
    printedCauerR: [107.655, 207.6868, 426.5449, 91.1133],
    printedCauerC: [0.0001266167, 0.0007059637, 0.0019033, 0.4899999],
  },
  {
    sheet: 'document 74273, rev. 27-Jun-07, junction to ambient',
    fosterR: [23.9495, 7.4394, 20.585, 51.8046],
    fosterTauS: [0.065829991, 0.001143436, 0.990959842, 44.538885699],
    impedance: [
      [0.0001, 0.661526],
      [0.001, 4.719808],
      [0.01, 11.031765],
      [0.1, 28.238046],
      [1.0, 45.620037],
      [10.0, 62.391093],
      [100.0, 98.292223],
      [1000.0, 103.7785],
    ],
    cauerR: [8.33956774, 25.96901081, 20.1641671, 49.30575435],
    cauerC: [0.00014509734, 0.0025347059, 0.049355476, 0.85002513],
    printedCauerR: [7.2873, 25.4282, 21.3216, 49.7799],
    printedCauerC: [0.0001142154, 0.0021753, 0.0411592, 0.8412034],
  },
  {
    sheet: 'document 74273, rev. 27-Jun-07, junction to case',
    fosterR: [3.2047, 3.6406, 0.8406781, 4.3986],
    fosterTauS: [0.000651097, 0.011221057, 0.079072249, 0.019802497],
    impedance: [
      [0.0001, 0.511784],
      [0.001, 3.052409],
      [0.01, 7.195886],
      [0.1, 11.81854],
      [1.0, 12.084575],
      [10.0, 12.084578],
      [100.0, 12.084578],
      [1000.0, 12.084578],
    ],
    cauerR: [3.95031038, 7.02299107, 0.78683494, 0.32444172],
    cauerC: [0.00018250848, 0.001793881, 0.02365865, 0.20853714],
    printedCauerR: [3.7301, 7.7159, 0.3123665, 0.2800256],
    printedCauerC: [0.0001729052, 0.0018086, 0.2091828, 0.0052915],
  },
  {
    sheet: 'document 74688, rev. 09-May-07, junction to ambient',
    fosterR: [6.7278, 29.614, 25.911, 47.7472],
    fosterTauS: [0.002340507, 1.670499087, 0.174927752, 52.38822784],
    impedance: [
      [0.0001, 0.298068],
      [0.001, 2.505623],
      [0.01, 8.259533],
      [0.1, 19.821642],
      [1.0, 46.795406],
      [10.0, 70.475427],
      [100.0, 102.921269],
      [1000.0, 110.0],
    ],
    cauerR: [7.52580984, 31.71486693, 26.40129824, 44.358025],
    cauerC: [0.00032881014, 0.0058146495, 0.060276706, 1.1122866],
    printedCauerR: [10.1112, 32.1645, 25.8678, 41.8565],
    printedCauerC: [0.0005988307, 0.0070365, 0.0776027, 1.2885],
  },
  {
    sheet: 'document 69841, rev. 13-Nov-07, junction to ambient',
    fosterR: [14.6425, 3.4587, 5.9301, 25.9687],
    fosterTauS: [15.8812555, 0.002713089, 0.574098911, 100.72739356],
    impedance: [
      [0.0001, 0.126312],
      [0.001, 1.077771],
      [0.01, 3.486164],
      [0.1, 4.524361],
      [1.0, 9.499988],
      [10.0, 18.684549],
      [100.0, 40.350435],
      [1000.0, 49.998733],
    ],
    cauerR: [3.52129768, 7.28148124, 21.79865837, 17.39856271],
    cauerC: [0.00077740609, 0.086853605, 0.81245175, 4.6707247],
    printedCauerR: [3.5352, 6.6726, 18.6704, 21.1218],
    printedCauerC: [0.0008736089, 0.0816765, 0.6750917, 3.4762],
  },
] as const

export const FOSTER_EXAMPLE = {
  rKPerW: [0.0016, 0.0043, 0.0013, 0.0014],
  tauS: [0.0068, 0.064, 0.32, 2],
  impedance: [
    [0.001, 0.000290232],
    [0.01, 0.00190133],
    [0.1, 0.005415849],
    [1, 0.007693738],
    [10, 0.008590567],
  ],
  totalKPerW: 0.0086,
  riseOf1kWAfter1sK: 7.6937,
} as const
