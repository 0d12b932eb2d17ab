/* A coach that cycles by a general-purpose engine: SUNDIALS IDA (variable-order BDF for
 * differential-algebraic equations) with KLU for its sparse linear systems.
 *
 *	cc -O2 -o ida ida.c -lsundials_ida -lsundials_nvecserial -lsundials_sunlinsolklu \
 *	   -lsundials_sunmatrixsparse -lklu -lm
 *	python3 export.py bench30 | ./ida TOLERANCE REPEATS > events.txt
 *
 * It is tuned as one who knows it would: volumes are the differential unknowns, heads and
 * flows are algebraic and left out of the error test, the Jacobian is analytic with its
 * pattern ordered once, turbulent friction is a table, the pump's switch and the side of the
 * check are found as roots, and what follows each is made consistent from the volumes.
 * Events go to standard output, one time a line; what it cost to standard error.
 */
#include "friction.h"
#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_nonlinearsolver.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>
#include <time.h>

enum { JOINTS = 64, BRANCHES = 64, STORES = 8, NNZ = 1024 };
enum kind { TUBE, LOSS, PUMP, SEEP, CHECK };
enum hold { TANK, GAS, STRETCH };

struct branch {
	enum kind kind;
	int a, b;
	double re, scale, loss; /* tube: Re per flow, Pa per f Re^2, Pa per q|q| */
	struct table *table;
	double q0, rise, in, out; /* pump */
	double qref, pref, n;     /* seep */
};

struct store {
	enum hold kind;
	int joint, top;
	double area, z0, v0, pre, c, p0;
};

static double rho, mu, g, patm, until, z[JOINTS];
static int nj, nb, ns, n, nq, nx; /* unknowns: volumes, heads from nx, flows from nq */
static struct branch br[BRANCHES];
static struct store st[STORES];
static int store_at[JOINTS], pump, check = -1, running, forward;

/* The drop of head along a branch and its slope; a flow of nothing through a pump at rest. */
static void drop(int k, double q, double *d, double *s) {
	const struct branch *b = &br[k];
	double aq = fabs(q), phi, dphi;
	switch (b->kind) {
	case TUBE:
		friction(b->table, b->re * aq, &phi, &dphi);
		*d = copysign(b->scale * phi + b->loss * aq * aq, q);
		*s = b->scale * b->re * dphi + 2 * b->loss * aq;
		return;
	case CHECK:
		if (!forward) {
			*d = b->pref * q / b->qref;
			*s = b->pref / b->qref;
			return;
		} /* fall through */
	case LOSS:
		*d = b->loss * q * aq;
		*s = 2 * b->loss * aq;
		return;
	case PUMP:
		*d = b->rise * (q / b->q0 - 1);
		*s = b->rise / b->q0;
		return;
	case SEEP:
		*d = copysign(b->pref * pow(aq / b->qref, 1 / b->n), q);
		*s = b->pref / b->n * pow(aq / b->qref, 1 / b->n - 1) / b->qref;
		return;
	}
}

static double tank_head(const struct store *s, int joint, double v) {
	double level = s->z0 + v / s->area;
	return rho * g * (level > z[joint] ? level : z[joint]);
}

static double held(const struct store *s, double p, double *c) {
	if (s->kind == STRETCH) {
		*c = s->c;
		return s->c * p;
	}
	double abs = p + patm, part = (s->pre + patm) / abs;
	if (p <= s->pre) {
		*c = 0;
		return 0;
	}
	*c = s->c * part / abs;
	return s->c * (1 - part);
}

static int residual(double t, N_Vector yy, N_Vector yp, N_Vector rr, void *user) {
	const double *y = N_VGetArrayPointer(yy), *dy = N_VGetArrayPointer(yp);
	double *r = N_VGetArrayPointer(rr), d, s;
	(void)t;
	(void)user;
	for (int j = 0; j < nj; j++) r[nx + j] = 0;
	for (int k = 0; k < nb; k++) {
		double q = y[nq + k];
		r[nx + br[k].a] -= q;
		r[nx + br[k].b] += q;
		if (k == pump && !running) {
			r[nq + k] = q;
			continue;
		}
		drop(k, q, &d, &s);
		r[nq + k] = y[nx + br[k].a] - y[nx + br[k].b] - d;
	}
	for (int i = 0; i < ns; i++) {
		const struct store *p = &st[i];
		double *at = &r[nx + p->joint], *top = &r[nx + p->top];
		if (p->kind == TANK) {
			r[i] = *at + *top - dy[i];
			*at = y[nx + p->joint] - tank_head(p, p->joint, y[i]);
			*top = y[nx + p->top] - tank_head(p, p->top, y[i]);
			continue;
		}
		r[i] = y[i] - held(p, y[nx + p->joint] - rho * g * z[p->joint], &d);
		*at -= dy[i];
	}
	return 0;
}

/* The Jacobian dF/dy + cj dF/dy', a column at a time: its pattern never changes. */
static int jacobian(double t, double cj, N_Vector yy, N_Vector yp, N_Vector rr, SUNMatrix J, void *user, N_Vector a, N_Vector b, N_Vector c) {
	const double *y = N_VGetArrayPointer(yy);
	sunindextype *ptr = SM_INDEXPTRS_S(J), *row = SM_INDEXVALS_S(J);
	double *v = SM_DATA_S(J), d, s;
	int at = 0;
	(void)t, (void)yp, (void)rr, (void)user, (void)a, (void)b, (void)c;
#define PUT(i, x) (row[at] = (i), v[at++] = (x))
	for (int i = 0; i < ns; i++) {
		const struct store *p = &st[i];
		ptr[i] = at;
		if (p->kind == TANK) {
			double level = p->z0 + y[i] / p->area, rise = rho * g / p->area;
			PUT(i, -cj);
			PUT(nx + p->joint, level > z[p->joint] ? -rise : 0);
			PUT(nx + p->top, level > z[p->top] ? -rise : 0);
		} else {
			PUT(i, 1);
			PUT(nx + p->joint, -cj);
		}
	}
	for (int j = 0; j < nj; j++) {
		int i = store_at[j];
		ptr[nx + j] = at;
		if (i >= 0 && st[i].kind == TANK) {
			PUT(nx + j, 1);
		} else if (i >= 0) {
			held(&st[i], y[nx + j] - rho * g * z[j], &s);
			PUT(i, -s);
		}
		for (int k = 0; k < nb; k++) {
			if (br[k].a != j && br[k].b != j) continue;
			double sign = br[k].a == j ? 1 : -1;
			PUT(nq + k, k == pump && !running ? 0 : sign);
		}
	}
	for (int k = 0; k < nb; k++) {
		int ia = store_at[br[k].a], ib = store_at[br[k].b];
		ptr[nq + k] = at;
		if (ia >= 0 && st[ia].kind == TANK) PUT(ia, -1);
		else PUT(nx + br[k].a, -1);
		if (ib >= 0 && st[ib].kind == TANK) PUT(ib, 1);
		else PUT(nx + br[k].b, 1);
		drop(k, y[nq + k], &d, &s);
		PUT(nq + k, k == pump && !running ? 1 : -s);
	}
	ptr[n] = at;
	return 0;
}

static int roots(double t, N_Vector yy, N_Vector yp, double *out, void *user) {
	const double *y = N_VGetArrayPointer(yy);
	int b = br[pump].b;
	double p = y[nx + b] - rho * g * z[b];
	(void)t, (void)yp, (void)user;
	out[0] = p - (running ? br[pump].out : br[pump].in);
	if (check >= 0) out[1] = 1e9 * y[nq + check];
	return 0;
}

static void need(int ok, const char *what) {
	if (ok) return;
	fprintf(stderr, "ida: %s\n", what);
	exit(1);
}

static void load(void) {
	char word[16];
	need(scanf("fluid %lf %lf %lf %lf joints %d", &rho, &mu, &g, &patm, &nj) == 5 && nj <= JOINTS, "want export.py's numbers on standard input");
	for (int j = 0; j < nj; j++) {
		need(scanf("%lf", &z[j]) == 1, "an elevation is missing");
		store_at[j] = -1;
	}
	need(scanf(" branches %d", &nb) == 1 && nb <= BRANCHES, "no branches");
	for (int k = 0; k < nb; k++) {
		struct branch *b = &br[k];
		double length, bore, eps, loss;
		need(scanf("%15s %d %d", word, &b->a, &b->b) == 3, "a branch is missing");
		if (!strcmp(word, "tube")) {
			need(scanf("%lf %lf %lf %lf", &length, &bore, &eps, &loss) == 4, "a tube lacks numbers");
			double head = 8 * rho / (M_PI * M_PI * pow(bore, 4));
			b->kind = TUBE;
			b->re = 4 * rho / (M_PI * mu * bore);
			b->scale = head * length / bore / (b->re * b->re);
			b->loss = head * loss;
			b->table = table_of(eps / bore);
		} else if (!strcmp(word, "loss") || !strcmp(word, "check")) {
			b->kind = word[0] == 'l' ? LOSS : CHECK;
			need(scanf("%lf %lf", &bore, &loss) == 2, "a loss lacks numbers");
			b->loss = loss * 8 * rho / (M_PI * M_PI * pow(bore, 4));
			if (b->kind == CHECK) {
				check = k;
				need(scanf("%lf %lf %lf", &b->qref, &b->pref, &b->n) == 3 && b->n == 1, "a check's seep is a film here");
			}
		} else if (!strcmp(word, "pump")) {
			b->kind = PUMP;
			pump = k;
			need(scanf("%lf %lf %lf %lf", &b->q0, &b->rise, &b->in, &b->out) == 4, "a pump lacks numbers");
		} else {
			b->kind = SEEP;
			need(!strcmp(word, "seep") && scanf("%lf %lf %lf", &b->qref, &b->pref, &b->n) == 3, "a seep lacks numbers");
		}
	}
	need(scanf(" stores %d", &ns) == 1 && ns <= STORES, "no stores");
	for (int i = 0; i < ns; i++) {
		struct store *s = &st[i];
		need(scanf("%15s %d", word, &s->joint) == 2, "a store is missing");
		s->top = s->joint;
		if (!strcmp(word, "tank")) {
			s->kind = TANK;
			need(scanf("%d %lf %lf %lf", &s->top, &s->area, &s->z0, &s->v0) == 4, "a tank lacks numbers");
		} else if (!strcmp(word, "gas")) {
			s->kind = GAS;
			need(scanf("%lf %lf %lf", &s->c, &s->pre, &s->p0) == 3, "an accumulator lacks numbers");
		} else {
			s->kind = STRETCH;
			need(scanf("%lf %lf", &s->c, &s->p0) == 2, "a stretch lacks numbers");
		}
		store_at[s->joint] = store_at[s->top] = i;
	}
	need(scanf(" until %lf", &until) == 1, "no end");
	nx = ns;
	nq = ns + nj;
	n = nq + nb;
}

/* settle makes heads and flows consistent with the volumes, the check on the side its flow
 * asks for, and begins anew from there. */
static void settle(void *ida, double t, N_Vector yy, N_Vector yp, int *flips) {
	for (int tries = 0; tries < 3; tries++) {
		need(IDAReInit(ida, t, yy, yp) == 0, "cannot go on");
		need(IDACalcIC(ida, IDA_YA_YDP_INIT, t + 1e-3) == 0, "no consistent state");
		IDAGetConsistentIC(ida, yy, yp);
		if (check < 0) break;
		double q = N_VGetArrayPointer(yy)[nq + check];
		if (fabs(q) < 1e-12 || forward == (q > 0)) break;
		forward = !forward;
		++*flips;
	}
	need(IDAReInit(ida, t, yy, yp) == 0, "cannot go on");
}

int main(int argc, char **argv) {
	double tol = argc > 1 ? atof(argv[1]) : 1e-11, best = 1e300;
	int repeats = argc > 2 ? atoi(argv[2]) : 1;
	load();
	for (int round = 0; round < repeats; round++) {
		clock_t began = clock();
		SUNContext ctx;
		need(SUNContext_Create(NULL, &ctx) == 0, "no context");
		N_Vector yy = N_VNew_Serial(n, ctx), yp = N_VClone(yy), id = N_VClone(yy), atol = N_VClone(yy);
		double *y = N_VGetArrayPointer(yy), *i_ = N_VGetArrayPointer(id), *at = N_VGetArrayPointer(atol), c;
		N_VConst(0, yy);
		N_VConst(0, yp);
		running = 0;
		forward = 1;
		for (int j = 0; j < nj; j++) y[nx + j] = 3.6e5;
		for (int k = 0; k < nb; k++) y[nq + k] = k == pump ? 0 : 1e-7;
		for (int k = 0; k < n; k++) {
			i_[k] = k < ns;
			/* m3 of water in whatever store; Pa and m3/s guide Newton alone */
			at[k] = k < ns ? tol : k < nq ? tol * 1e13 : tol * 1e4;
		}
		for (int i = 0; i < ns; i++) {
			y[i] = st[i].kind == TANK ? st[i].v0 : held(&st[i], st[i].p0, &c);
			y[nx + st[i].joint] = st[i].kind == TANK ? tank_head(&st[i], st[i].joint, y[i]) : st[i].p0 + rho * g * z[st[i].joint];
			if (st[i].kind == TANK) y[nx + st[i].top] = tank_head(&st[i], st[i].top, y[i]);
		}
		void *ida = IDACreate(ctx);
		SUNMatrix J = SUNSparseMatrix(n, n, NNZ, CSC_MAT, ctx);
		SUNLinearSolver klu = SUNLinSol_KLU(yy, J, ctx);
		int dir[2];
		need(SUNLinSol_KLUSetOrdering(klu, 0) == 0 && IDAInit(ida, residual, 0, yy, yp) == 0 && IDASVtolerances(ida, 0, atol) == 0 && IDASetId(ida, id) == 0 &&
		     IDASetSuppressAlg(ida, SUNTRUE) == 0 && IDASetLinearSolver(ida, klu, J) == 0 && IDASetJacFn(ida, jacobian) == 0 &&
		     IDARootInit(ida, check < 0 ? 1 : 2, roots) == 0 && IDASetMaxNumSteps(ida, 1000000) == 0 && IDASetMaxNumStepsIC(ida, 50) == 0 &&
		     IDASetMaxNumItersIC(ida, 50) == 0, "cannot begin");
		double t = 0;
		long steps = 0, newton = 0, setups = 0, more;
		int events = 0, flips = 0;
		settle(ida, t, yy, yp, &flips);
		IDASetStopTime(ida, until);
		while (t < until) {
			dir[0] = running ? 1 : -1;
			dir[1] = forward ? -1 : 1;
			IDASetRootDirection(ida, dir);
			int flag = IDASolve(ida, until, &t, yy, yp, IDA_NORMAL);
			need(flag >= 0, "it gave up");
			if (flag != IDA_ROOT_RETURN) break;
			int found[2];
			IDAGetRootInfo(ida, found);
			if (check >= 0 && found[1]) {
				forward = !forward;
				flips++;
			}
			if (found[0]) {
				running = !running;
				events++;
				if (round == 0) printf("%.9f\n", t);
			}
			IDAGetNumSteps(ida, &more);
			steps += more;
			IDAGetNumNonlinSolvIters(ida, &more);
			newton += more;
			IDAGetNumLinSolvSetups(ida, &more);
			setups += more;
			settle(ida, t, yy, yp, &flips);
			IDASetStopTime(ida, until);
		}
		IDAGetNumSteps(ida, &more);
		steps += more;
		IDAGetNumNonlinSolvIters(ida, &more);
		newton += more;
		IDAGetNumLinSolvSetups(ida, &more);
		setups += more;
		double took = (double)(clock() - began) / CLOCKS_PER_SEC;
		if (took < best) best = took;
		if (round == repeats - 1)
			fprintf(stderr, "%d unknowns, tolerance %g: %d events, %d flips of the check, %ld steps, %ld Newton iterations, %ld factorisations, least %.4f s of processor time\n", n, tol, events, flips, steps, newton, setups, best);
		IDAFree(&ida);
		SUNLinSolFree(klu);
		SUNMatDestroy(J);
		N_VDestroy(yy);
		N_VDestroy(yp);
		N_VDestroy(id);
		N_VDestroy(atol);
		SUNContext_Free(&ctx);
	}
	return 0;
}
