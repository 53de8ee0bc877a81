"""One peer, one case, one tolerance or number of elements: `peer.py PEER CASE SIZE`, a line of JSON.

Seconds are of the processor, the median of several runs after one that is not counted;
`start_up` is what passed before: the interpreter, the imports, that first run's own loading.
"""

import json
import statistics
import sys
import time

import front


def peers():
    import curve

    def elements(module):
        def peak(name, n):
            import laying

            return laying.peak(module().equilibrium, name, int(n))

        return peak

    def trusses():
        import trusses

        return trusses

    def membrane():
        import membrane

        return membrane

    return {
        "quadrature": curve.quadrature,
        "ode": curve.ode,
        "trusses": elements(trusses),
        "membrane": elements(membrane),
    }


def main(name, case, size):
    if name == "exact":
        print(json.dumps({"peak": float(front.exact(case))}))
        return
    peak, size = peers()[name], float(size)
    coarse = 1e-2 if size < 1 else 4
    peak(case, coarse)
    start_up = time.process_time()
    peak(case, size)
    seconds = []
    while len(seconds) < 3 or (sum(seconds) < 0.5 and len(seconds) < 200):
        start = time.process_time()
        found = peak(case, size)
        seconds.append(time.process_time() - start)
        if seconds[0] > 4:
            break
    print(json.dumps({"peak": found, "seconds": statistics.median(seconds), "start_up": start_up}))


main(*sys.argv[1:])
