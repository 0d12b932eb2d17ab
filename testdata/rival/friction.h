/* Turbulent friction of one relative roughness for the programs beside this one: f against
 * ln Re from 4000 to 1e6 by a table, laminar to 2000, a cubic between. */
#include <math.h>

enum { KNOTS = 512 };

struct table {
	double eps, f[KNOTS], df[KNOTS];
};

static double colebrook(double re, double eps) {
	double x = 7;
	for (int i = 0; i < 60; i++) x = -2 * log10(eps / 3.7 + 2.51 * x / re);
	return 1 / (x * x);
}

static const double lo = 8.294049640102028, hi = 13.815510557964274; /* ln 4000, ln 1e6 */

static struct table *table_of(double eps) {
	static struct table all[8];
	static int count;
	for (int i = 0; i < count; i++)
		if (all[i].eps == eps) return &all[i];
	struct table *t = &all[count++];
	double step = (hi - lo) / (KNOTS - 1), little = 1e-4;
	t->eps = eps;
	for (int i = 0; i < KNOTS; i++) {
		double at = lo + i * step;
		t->f[i] = colebrook(exp(at), eps);
		t->df[i] = (colebrook(exp(at + little), eps) - colebrook(exp(at - little), eps)) / (2 * little) * step;
	}
	return t;
}

static void hermite(double u, double a, double b, double da, double db, double *v, double *d) {
	double c2 = 3 * (b - a) - 2 * da - db, c3 = 2 * (a - b) + da + db;
	*v = a + u * (da + u * (c2 + u * c3));
	*d = da + u * (2 * c2 + u * 3 * c3);
}

static void turbulent(const struct table *t, double re, double *phi, double *dphi) {
	double at = (log(re) - lo) / (hi - lo) * (KNOTS - 1), f, df;
	int i = (int)at;
	if (i > KNOTS - 2) i = KNOTS - 2;
	hermite(at - i, t->f[i], t->f[i + 1], t->df[i], t->df[i + 1], &f, &df);
	df *= (KNOTS - 1) / (hi - lo) / re;
	*phi = f * re * re;
	*dphi = re * (2 * f + re * df);
}

/* phi = f Re^2 and its slope. */
static void friction(const struct table *t, double re, double *phi, double *dphi) {
	if (re <= 2000) {
		*phi = 64 * re;
		*dphi = 64;
	} else if (re >= 4000) {
		turbulent(t, re, phi, dphi);
	} else {
		double end, slope;
		turbulent(t, 4000, &end, &slope);
		hermite((re - 2000) / 2000, 128000, end, 64 * 2000, slope * 2000, phi, dphi);
		*dphi /= 2000;
	}
}
