// Looks for a way with a sampling planner (OMPL's RRTConnect) over yes/no tables
// of pairs of parts. It cannot tell that there is no way; it serves to compare
// how long finding one takes.
// usage: planner MAPS SECONDS RUNS [STEP]
// The input is described in SOURCE.md. STEP is the share of the space's extent
// between two looks at the tables along a motion (default 0.0005).
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <ompl/base/ScopedState.h>
#include <ompl/base/goals/GoalSampleableRegion.h>
#include <ompl/base/spaces/RealVectorStateSpace.h>
#include <ompl/base/spaces/SO2StateSpace.h>
#include <ompl/geometric/SimpleSetup.h>
#include <ompl/geometric/planners/rrt/RRTConnect.h>
#include <ompl/util/RandomNumbers.h>
#include <string>
#include <vector>

namespace ob = ompl::base;
namespace og = ompl::geometric;

struct Travel {
  std::string name;
  double lo, hi, start;
  bool full;
};

struct Bound {
  int travel;
  double lo, hi;
};

struct Coord {
  double lo, hi;
  long cells;
  bool cyclic;
  std::vector<std::pair<int, int>> terms; // travel, sign
};

struct Pair {
  std::string a, b;
  std::vector<Coord> coords;
  std::vector<bool> free;

  bool at(const std::vector<double> &q) const {
    size_t i = 0;
    for (auto &c : coords) {
      double v = 0;
      for (auto &t : c.terms) v += t.second * q[t.first];
      double u = (v - c.lo) / (c.hi - c.lo);
      if (c.cyclic) u -= std::floor(u);
      if (u < -1e-9 || u > 1 + 1e-9) return false;
      i = i * c.cells + std::min(c.cells - 1, std::max(0L, long(u * c.cells)));
    }
    return free[i];
  }
};

struct Maps {
  std::vector<Travel> travels;
  std::vector<Bound> goal;
  std::vector<Pair> pairs;
};

static void fail(const std::string &what) {
  std::cerr << "planner: " << what << "\n";
  exit(1);
}

static void expect(std::istream &in, const std::string &word) {
  std::string w;
  if (!(in >> w) || w != word) fail("expected \"" + word + "\", found \"" + w + "\"");
}

static Maps read(const char *name) {
  std::ifstream in(name);
  if (!in) fail(std::string("cannot read ") + name);
  Maps m;
  int n;
  expect(in, "maps");
  in >> n;
  if (n != 1) fail("unknown version");
  expect(in, "travels");
  in >> n;
  m.travels.resize(n);
  std::string word;
  for (auto &t : m.travels) {
    in >> t.name >> t.lo >> t.hi >> word >> t.start;
    t.full = word == "full";
  }
  expect(in, "goal");
  in >> n;
  m.goal.resize(n);
  for (auto &b : m.goal) in >> b.travel >> b.lo >> b.hi;
  expect(in, "pairs");
  in >> n;
  m.pairs.resize(n);
  for (auto &p : m.pairs) {
    int coords;
    expect(in, "pair");
    in >> p.a >> p.b >> coords;
    size_t cells = 1;
    p.coords.resize(coords);
    for (auto &c : p.coords) {
      int terms;
      expect(in, "coord");
      in >> c.lo >> c.hi >> c.cells >> word >> terms;
      c.cyclic = word == "full";
      c.terms.resize(terms);
      for (auto &t : c.terms) in >> t.first >> t.second;
      cells *= c.cells;
    }
    expect(in, "runs");
    long runs, count;
    int value;
    in >> runs;
    for (long i = 0; i < runs && in >> count >> value; i++) p.free.insert(p.free.end(), count, value != 0);
    if (p.free.size() != cells) fail("the runs of a pair do not fill its table");
  }
  if (!in) fail("the file ends too early");
  return m;
}

// The space: one real vector for travels with ends, a circle for each full turn.
struct Space {
  const Maps &m;
  std::shared_ptr<ob::CompoundStateSpace> space = std::make_shared<ob::CompoundStateSpace>();

  explicit Space(const Maps &maps) : m(maps) {
    for (auto &t : m.travels) {
      double extent = t.hi - t.lo;
      if (t.full) {
        space->addSubspace(std::make_shared<ob::SO2StateSpace>(), 1 / M_PI);
        continue;
      }
      auto line = std::make_shared<ob::RealVectorStateSpace>(1);
      line->setBounds(t.lo, t.hi);
      space->addSubspace(line, extent > 0 ? 1 / extent : 1);
    }
  }

  std::vector<double> values(const ob::State *s) const {
    std::vector<double> q(m.travels.size());
    auto c = s->as<ob::CompoundState>();
    for (size_t i = 0; i < q.size(); i++) {
      if (!m.travels[i].full) {
        q[i] = c->as<ob::RealVectorStateSpace::StateType>(i)->values[0];
        continue;
      }
      q[i] = c->as<ob::SO2StateSpace::StateType>(i)->value;
      q[i] -= 2 * M_PI * std::floor((q[i] - m.travels[i].lo) / (2 * M_PI));
    }
    return q;
  }

  void set(ob::State *s, const std::vector<double> &q) const {
    auto c = s->as<ob::CompoundState>();
    for (size_t i = 0; i < q.size(); i++) {
      if (m.travels[i].full)
        c->as<ob::SO2StateSpace::StateType>(i)->value = std::remainder(q[i], 2 * M_PI);
      else
        c->as<ob::RealVectorStateSpace::StateType>(i)->values[0] = q[i];
    }
  }

  bool valid(const ob::State *s) const {
    auto q = values(s);
    for (auto &p : m.pairs)
      if (!p.at(q)) return false;
    return true;
  }
};

// The goal: a box, sampled.
class Goal : public ob::GoalSampleableRegion {
public:
  Goal(const ob::SpaceInformationPtr &si, const Space &s) : ob::GoalSampleableRegion(si), space(s) {}

  double distanceGoal(const ob::State *s) const override {
    auto q = space.values(s);
    double d = 0;
    for (auto &b : space.m.goal) d += std::max({0.0, b.lo - q[b.travel], q[b.travel] - b.hi});
    return d;
  }

  // A free configuration of the goal, if one is met within so many draws.
  void sampleGoal(ob::State *s) const override {
    std::vector<double> q(space.m.travels.size());
    for (int draw = 0; draw < 100000; draw++) {
      for (size_t i = 0; i < q.size(); i++) q[i] = random.uniformReal(space.m.travels[i].lo, space.m.travels[i].hi);
      for (auto &b : space.m.goal) {
        auto &t = space.m.travels[b.travel];
        q[b.travel] = random.uniformReal(std::max(b.lo, t.lo), std::min(b.hi, t.hi));
      }
      space.set(s, q);
      if (space.valid(s)) return;
    }
  }

  unsigned int maxSampleCount() const override { return 1000000; }

private:
  const Space &space;
  mutable ompl::RNG random;
};

int main(int argc, char **argv) {
  if (argc < 4 || argc > 5) {
    std::cerr << "usage: planner MAPS SECONDS RUNS [STEP]\n";
    return 2;
  }
  ompl::msg::setLogLevel(ompl::msg::LOG_ERROR);
  Maps maps = read(argv[1]);
  double seconds = atof(argv[2]), step = argc > 4 ? atof(argv[4]) : 0.0005;
  int runs = atoi(argv[3]), found = 0;
  for (int run = 0; run < runs; run++) {
    if (run == 0) ompl::RNG::setSeed(1); // the later runs go on in its sequence
    Space space(maps);
    og::SimpleSetup setup(space.space);
    setup.setStateValidityChecker([&](const ob::State *s) { return space.valid(s); });
    setup.getSpaceInformation()->setStateValidityCheckingResolution(step);
    ob::ScopedState<> start(space.space);
    std::vector<double> q;
    for (auto &t : maps.travels) q.push_back(t.start);
    space.set(start.get(), q);
    setup.setStartState(start);
    setup.setGoal(std::make_shared<Goal>(setup.getSpaceInformation(), space));
    setup.setPlanner(std::make_shared<og::RRTConnect>(setup.getSpaceInformation()));
    auto begin = std::chrono::steady_clock::now();
    bool ok = setup.solve(seconds) == ob::PlannerStatus::EXACT_SOLUTION;
    double took = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    if (ok) {
      found++;
      printf("run %d: a way of %zu states after %.3f s\n", run + 1, setup.getSolutionPath().getStateCount(), took);
    } else {
      printf("run %d: none in %.1f s\n", run + 1, took);
    }
  }
  printf("%d of %d runs found a way\n", found, runs);
}
