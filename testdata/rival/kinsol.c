/* The steady answer of a square grid of tubes by a general-purpose engine: SUNDIALS KINSOL
 * (Newton with line search) with KLU for its sparse linear systems.
 *
 *	cc -O2 -o kinsol kinsol.c -lsundials_kinsol -lsundials_nvecserial -lsundials_sunlinsolklu \
 *	   -lsundials_sunmatrixsparse -lklu -lm
 *	go test ../../sim -run WriteGrid -grid.write grid.txt -grid.joints 10000
 *	./kinsol flows 1e-10 5 < grid.txt
 *
 * Two ways of asking it, of which the faster counts. By "flows" the unknowns are the flow of
 * each tube and the head of each joint; balances are straight and each law stands alone. By
 * "heads" there are heads alone, each tube's flow being found from the drop along it; that
 * is a third of the unknowns, but flow against drop is as steep as laminar flow at rest.
 *
 * The Jacobian is analytic, its pattern made and ordered once and its places known; unknowns
 * and balances are scaled by what they come to; it is made anew in each iteration. It
 * starts as cold as quietpump does: the flows with which that begins, heads at the main's.
 * Time is of the processor, from the numbers read to the answer, the ordering and all
 * memory in it, without the friction table.
 */
#include "friction.h"
#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>
#include <time.h>

struct tube {
	int a, b;
	double re, scale, loss; /* Re per flow, Pa per f Re^2, Pa per q|q| */
	double q, dq;           /* by heads: the flow last found, and its slope */
	struct table *table;
	sunindextype at[6]; /* places of its slopes in the Jacobian */
};

static int n, m, by_flows, main_at, unknowns;
static double supply, *kappa, *answer;
static struct tube *tubes;
static sunindextype *ptr, *row, *diagonal, nnz;

static void need(int ok, const char *what) {
	if (ok) return;
	fprintf(stderr, "kinsol: %s\n", what);
	exit(1);
}

static void drop(const struct tube *t, double q, double *d, double *s) {
	double aq = fabs(q), phi, dphi;
	friction(t->table, t->re * aq, &phi, &dphi);
	*d = copysign(t->scale * phi + t->loss * aq * aq, q);
	*s = t->scale * t->re * dphi + 2 * t->loss * aq;
}

/* flow finds a tube's flow from the drop along it, from where it was found last. */
static void flow(struct tube *t, double want) {
	double q = t->q, d, s;
	if (q * want <= 0) q = copysign(1e-6, want);
	for (int i = 0; i < 50; i++) {
		drop(t, q, &d, &s);
		double step = (want - d) / s;
		if (q * (q + step) < 0) step = -0.9 * q;
		q += step;
		if (fabs(step) <= 1e-13 * fabs(q) + 1e-18) break;
	}
	drop(t, q, &d, &s);
	t->q = q;
	t->dq = 1 / s;
}

/* A tap passes sqrt(p / kappa), straight below a pascal. */
static double tap(double k, double p, double *slope) {
	double c = sqrt(1 / k), a = fabs(p);
	if (a < 1) {
		*slope = c;
		return c * p;
	}
	*slope = 0.5 * c / sqrt(a);
	return copysign(c * sqrt(a), p);
}

static int residual(N_Vector uu, N_Vector ff, void *user) {
	const double *u = N_VGetArrayPointer(uu);
	double *f = N_VGetArrayPointer(ff), d, s;
	(void)user;
	for (int i = 0; i < n; i++) f[i] = kappa[i] > 0 ? -tap(kappa[i], u[i], &s) : 0;
	for (int k = 0; k < m; k++) {
		struct tube *t = &tubes[k];
		double q;
		if (by_flows) {
			q = u[n + k];
			drop(t, q, &d, &s);
			f[n + k] = u[t->a] - u[t->b] - d;
		} else {
			flow(t, u[t->a] - u[t->b]);
			q = t->q;
		}
		f[t->a] -= q;
		f[t->b] += q;
	}
	f[main_at] = supply - u[main_at];
	return 0;
}

static int jacobian(N_Vector uu, N_Vector ff, SUNMatrix J, void *user, N_Vector a, N_Vector b) {
	const double *u = N_VGetArrayPointer(uu);
	double *v = SM_DATA_S(J), d, s;
	(void)ff, (void)user, (void)a, (void)b;
	memcpy(SM_INDEXPTRS_S(J), ptr, (unknowns + 1) * sizeof *ptr);
	memcpy(SM_INDEXVALS_S(J), row, nnz * sizeof *row);
	memset(v, 0, nnz * sizeof *v);
	for (int i = 0; i < n; i++)
		if (kappa[i] > 0) {
			tap(kappa[i], u[i], &s);
			v[diagonal[i]] -= s;
		}
	for (int k = 0; k < m; k++) {
		const struct tube *t = &tubes[k];
		if (by_flows) { /* balances of a and b by q, the law by heads and q */
			drop(t, u[n + k], &d, &s);
			v[t->at[0]] = -1;
			v[t->at[1]] = 1;
			v[t->at[2]] = 1;
			v[t->at[3]] = -1;
			v[t->at[4]] = -s;
		} else {
			v[diagonal[t->a]] -= t->dq;
			v[diagonal[t->b]] -= t->dq;
			v[t->at[0]] += t->dq;
			v[t->at[1]] += t->dq;
		}
	}
	for (sunindextype c = 0; c < unknowns; c++)
		for (sunindextype e = ptr[c]; e < ptr[c + 1]; e++)
			if (row[e] == main_at) v[e] = c == main_at ? -1 : 0;
	return 0;
}

/* pattern makes the Jacobian's, by columns. */
static void pattern(void) {
	unknowns = by_flows ? n + m : n;
	nnz = by_flows ? n + 5 * (sunindextype)m : n + 2 * (sunindextype)m;
	ptr = calloc(unknowns + 2, sizeof *ptr);
	row = malloc(nnz * sizeof *row);
	diagonal = malloc(n * sizeof *diagonal);
	sunindextype *to = ptr + 1; /* where the next entry of a column goes, in the end where the next column begins */
	for (int i = 0; i < n; i++) to[i + 1]++;
	for (int k = 0; k < m; k++) {
		to[tubes[k].a + 1]++;
		to[tubes[k].b + 1]++;
		if (by_flows) to[n + k + 1] += 3;
	}
	for (int c = 0; c < unknowns; c++) to[c + 1] += to[c];
#define ENTRY(r, c) (row[to[c]] = (r), to[c]++)
	for (int i = 0; i < n; i++) diagonal[i] = ENTRY(i, i);
	for (int k = 0; k < m; k++) {
		struct tube *t = &tubes[k];
		if (by_flows) {
			t->at[2] = ENTRY(n + k, t->a);
			t->at[3] = ENTRY(n + k, t->b);
			t->at[0] = ENTRY(t->a, n + k);
			t->at[1] = ENTRY(t->b, n + k);
			t->at[4] = ENTRY(n + k, n + k);
		} else {
			t->at[0] = ENTRY(t->b, t->a);
			t->at[1] = ENTRY(t->a, t->b);
		}
	}
}

int main(int argc, char **argv) {
	double tol = argc > 2 ? atof(argv[2]) : 1e-10, rho, mu, best = 1e300, far = 0;
	int repeats = argc > 3 ? atoi(argv[3]) : 1, taps, i;
	by_flows = argc > 1 && !strcmp(argv[1], "flows");
	need(scanf("grid %d %d %d %lf %lf", &n, &m, &taps, &rho, &mu) == 5, "want WriteGrid's numbers on standard input");
	tubes = calloc(m, sizeof *tubes);
	kappa = calloc(n, sizeof *kappa);
	answer = calloc(n, sizeof *answer);
	for (int k = 0; k < m;) {
		char word[8];
		double length, bore, eps, loss;
		need(scanf("%7s", word) == 1, "a tube is missing");
		if (!strcmp(word, "main")) {
			need(scanf("%d %lf", &main_at, &supply) == 2, "no main");
		} else if (!strcmp(word, "tap")) {
			need(scanf("%d %lf", &i, &loss) == 2, "a tap lacks numbers");
			kappa[i] = loss;
			taps--;
		} else {
			struct tube *t = &tubes[k++];
			need(scanf("%d %d %lf %lf %lf %lf", &t->a, &t->b, &length, &bore, &eps, &loss) == 6, "a tube lacks numbers");
			double head = 8 * rho / (M_PI * M_PI * pow(bore, 4));
			t->re = 4 * rho / (M_PI * mu * bore);
			t->scale = head * length / bore / (t->re * t->re);
			t->loss = head * loss;
			t->table = table_of(eps / bore);
		}
	}
	for (char word[8]; taps > 0; taps--) {
		double loss;
		need(scanf("%7s %d %lf", word, &i, &loss) == 3, "a tap is missing");
		kappa[i] = loss;
	}
	for (i = 0; i < n; i++) need(scanf("%lf", &answer[i]) == 1, "an answer is missing");

	long iterations = 0, evaluations = 0, jacobians = 0;
	for (int round = 0; round < repeats; round++) {
		clock_t began = clock();
		SUNContext ctx;
		need(SUNContext_Create(NULL, &ctx) == 0, "no context");
		pattern();
		N_Vector u = N_VNew_Serial(unknowns, ctx), us = N_VClone(u), fs = N_VClone(u);
		double *x = N_VGetArrayPointer(u), *xs = N_VGetArrayPointer(us), *f = N_VGetArrayPointer(fs), total = 0, s;
		for (i = 0; i < n; i++) total += kappa[i] > 0 ? tap(kappa[i], supply, &s) : 0;
		for (i = 0; i < unknowns; i++) {
			x[i] = i < n ? supply : 2e-5;
			xs[i] = i < n ? 1 / supply : 1 / total;
			f[i] = i < n ? 1 / total : 1 / supply;
		}
		f[main_at] = 1 / supply;
		for (int k = 0; k < m; k++) tubes[k].q = 2e-5;
		void *kin = KINCreate(ctx);
		SUNMatrix J = SUNSparseMatrix(unknowns, unknowns, nnz, CSC_MAT, ctx);
		SUNLinearSolver klu = SUNLinSol_KLU(u, J, ctx);
		need(SUNLinSol_KLUSetOrdering(klu, 0) == 0 && KINInit(kin, residual, u) == 0 && KINSetLinearSolver(kin, klu, J) == 0 && KINSetJacFn(kin, jacobian) == 0 &&
		     KINSetFuncNormTol(kin, tol) == 0 && KINSetScaledStepTol(kin, 1e-15) == 0 && KINSetMaxSetupCalls(kin, 1) == 0 &&
		     KINSetMaxNewtonStep(kin, 1e6) == 0 && KINSetNumMaxIters(kin, 500) == 0, "cannot begin");
		int flag = KINSol(kin, u, argc > 4 ? KIN_NONE : KIN_LINESEARCH, us, fs);
		KINGetNumNonlinSolvIters(kin, &iterations);
		KINGetNumFuncEvals(kin, &evaluations);
		KINGetNumJacEvals(kin, &jacobians);
		if (flag < 0) {
			double norm;
			KINGetFuncNorm(kin, &norm);
			fprintf(stderr, "kinsol: no answer after %ld iterations, norm %g (flag %d)\n", iterations, norm, flag);
			return 1;
		}
		far = 0;
		for (i = 0; i < n; i++) far = fmax(far, fabs(x[i] - answer[i]));
		KINFree(&kin);
		SUNLinSolFree(klu);
		SUNMatDestroy(J);
		N_VDestroy(u);
		N_VDestroy(us);
		N_VDestroy(fs);
		SUNContext_Free(&ctx);
		free(ptr), free(row), free(diagonal);
		double took = (double)(clock() - began) / CLOCKS_PER_SEC;
		if (took < best) best = took;
	}
	printf("%d joints by %s: %d unknowns, %ld iterations, %ld evaluations, %ld factorisations, heads %.2g Pa apart, least %.5f s of processor time\n",
	       n, by_flows ? "flows" : "heads", unknowns, iterations, evaluations, jacobians, far, best);
	return 0;
}
