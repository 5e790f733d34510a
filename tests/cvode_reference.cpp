#include "cvode_reference.hpp"

#include <cvode/cvode_ls.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <sstream>
#include <utility>

namespace railseep {
namespace {

constexpr long most_steps = 10'000'000;

void free_cvode(void* memory) { CVodeFree(&memory); }

void check(int flag, double t) {
  if (flag >= 0) return;
  std::ostringstream place;
  place << "t = " << t << " s";
  throw Error(place.str(), "CVODE returned " + std::to_string(flag), "see CVodeGetReturnFlagName");
}

Eigen::Map<Eigen::VectorXd> as_eigen(N_Vector v) { return {N_VGetArrayPointer(v), N_VGetLength(v)}; }

}  // namespace

CvodeReference::CvodeReference(Rates rates, Jacobian jacobian, Weights weights)
    : rates_(std::move(rates)),
      jacobian_(std::move(jacobian)),
      weights_(std::move(weights)),
      context_(std::make_unique<sundials::Context>()),
      vector_(nullptr, N_VDestroy),
      matrix_(nullptr, SUNMatDestroy),
      solver_(nullptr, SUNLinSolFree),
      cvode_(nullptr, free_cvode) {}

void CvodeReference::initialize(const State& x, double t) {
  const auto n = x.size();
  x_ = f_ = scale_ = dfdt_ = x;
  J_.setZero(n, n);
  t_ = t;
  counters_ = {};

  vector_.reset(N_VNew_Serial(n, *context_));
  as_eigen(vector_.get()) = x;
  matrix_.reset(SUNDenseMatrix(n, n, *context_));
  solver_.reset(SUNLinSol_Dense(vector_.get(), matrix_.get(), *context_));

  cvode_.reset(CVodeCreate(CV_BDF, *context_));
  check(CVodeInit(cvode_.get(), call_rates, t, vector_.get()), t);
  check(CVodeSetUserData(cvode_.get(), this), t);
  check(CVodeWFtolerances(cvode_.get(), call_weights), t);
  check(CVodeSetLinearSolver(cvode_.get(), solver_.get(), matrix_.get()), t);
  check(CVodeSetJacFn(cvode_.get(), call_jacobian), t);
  check(CVodeSetMaxNumSteps(cvode_.get(), most_steps), t);
}

const CvodeReference::State& CvodeReference::advance(double t) {
  check(CVodeSetStopTime(cvode_.get(), t), t_);
  check(CVode(cvode_.get(), t, vector_.get(), &t_, CV_NORMAL), t_);
  x_ = as_eigen(vector_.get());
  return x_;
}

void CvodeReference::restart(double first_step) {
  add_steps_since_restart(counters_);
  check(CVodeReInit(cvode_.get(), t_, vector_.get()), t_);
  check(CVodeSetInitStep(cvode_.get(), first_step), t_);
}

std::vector<CvodeReference::State> CvodeReference::states_at(const std::vector<double>& times) {
  std::vector<State> states;
  for (double t : times) states.push_back(advance(t));
  return states;
}

double CvodeReference::last_step() const {
  double step = 0;
  CVodeGetLastStep(cvode_.get(), &step);
  return step;
}

Counters CvodeReference::counters() const {
  Counters counters = counters_;
  add_steps_since_restart(counters);
  return counters;
}

void CvodeReference::add_steps_since_restart(Counters& counters) const {
  long steps = 0, setups = 0, failures = 0;
  CVodeGetNumSteps(cvode_.get(), &steps);
  CVodeGetNumLinSolvSetups(cvode_.get(), &setups);
  CVodeGetNumErrTestFails(cvode_.get(), &failures);
  counters.steps += steps;
  counters.factorisations += setups;
  counters.rejected += failures;
}

int CvodeReference::call_rates(double t, N_Vector x, N_Vector dxdt, void* self) {
  auto& me = *static_cast<CvodeReference*>(self);
  me.x_ = as_eigen(x);
  me.rates_(me.x_, me.f_, t);
  ++me.counters_.rates;
  as_eigen(dxdt) = me.f_;
  return me.f_.allFinite() ? 0 : 1;
}

int CvodeReference::call_jacobian(double t, N_Vector x, N_Vector, SUNMatrix J, void* self, N_Vector, N_Vector,
                                  N_Vector) {
  auto& me = *static_cast<CvodeReference*>(self);
  me.x_ = as_eigen(x);
  me.jacobian_(me.x_, me.J_, t, me.dfdt_);
  ++me.counters_.jacobians;
  Eigen::Map<Eigen::MatrixXd>(SUNDenseMatrix_Data(J), me.J_.rows(), me.J_.cols()) = me.J_;
  return me.J_.allFinite() ? 0 : 1;
}

int CvodeReference::call_weights(N_Vector x, N_Vector weight, void* self) {
  auto& me = *static_cast<CvodeReference*>(self);
  me.x_ = as_eigen(x);
  me.weights_(me.x_, me.x_, me.scale_);
  as_eigen(weight) = me.scale_.cwiseInverse();
  return (me.scale_.array() > 0).all() ? 0 : -1;
}

}  // namespace railseep
