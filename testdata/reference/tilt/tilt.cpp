// Tilts boxes with loose bars, quarter of a degree by quarter, in the rigid-body
// simulation of Bullet, and prints from which tilt each bar runs. Each bar lies in a
// chute of four walls with a gap; friction is Coulomb's, mu at every contact.
#include <bullet/btBulletDynamicsCommon.h>
#include <cmath>
#include <cstdio>
#include <vector>

const double deg = M_PI / 180;

struct Bar {
  const char *name;
  btVector3 dir;  // way of the chute, in the box
  double mu;
};

// runs tells whether the bar moves along its chute when the box is tilted by the angle
// about the axis, from rest within two seconds.
static bool runs(const Bar &b, const btVector3 &axis, double angle) {
  btDefaultCollisionConfiguration conf;
  btCollisionDispatcher disp(&conf);
  btDbvtBroadphase broad;
  btSequentialImpulseConstraintSolver solver;
  btDiscreteDynamicsWorld world(&disp, &broad, &solver, &conf);
  world.getSolverInfo().m_numIterations = 100;
  // the box stays, gravity is tilted instead, in the frame of the box
  btVector3 down = btVector3(0, 0, -1).rotate(axis.normalized(), -angle);
  world.setGravity(down * 9.80665);
  btVector3 x = b.dir.normalized(), y = btVector3(0, 0, 1).cross(x).normalized(), z = x.cross(y);
  btMatrix3x3 basis(x.x(), y.x(), z.x(), x.y(), y.y(), z.y(), x.z(), y.z(), z.z());
  btTransform chute(basis, btVector3(0, 0, 0));
  // one unit is 10 mm: a bar of 20 x 6 x 6 mm with a gap of 0.3 mm a side
  const double half = 0.3, gap = 0.03, wall = 0.5, length = 8;
  std::vector<btRigidBody *> bodies;
  std::vector<btCollisionShape *> shapes;
  auto fixed = [&](btVector3 at, btVector3 size) {
    auto *s = new btBoxShape(size);
    s->setMargin(0.001);
    btTransform t = chute * btTransform(btQuaternion::getIdentity(), at);
    auto *body = new btRigidBody(0, new btDefaultMotionState(t), s);
    body->setFriction(1);
    world.addRigidBody(body);
    bodies.push_back(body), shapes.push_back(s);
  };
  double d = half + gap + wall;
  fixed(btVector3(0, 0, -d), btVector3(length, 2, wall));
  fixed(btVector3(0, 0, d), btVector3(length, 2, wall));
  fixed(btVector3(0, -d, 0), btVector3(length, wall, 2));
  fixed(btVector3(0, d, 0), btVector3(length, wall, 2));
  auto *s = new btBoxShape(btVector3(1, half, half));
  s->setMargin(0.001);
  btVector3 inertia;
  s->calculateLocalInertia(1, inertia);
  auto *bar = new btRigidBody(1, new btDefaultMotionState(chute * btTransform(btQuaternion::getIdentity(), btVector3(0, 0, -gap))), s, inertia);
  bar->setFriction(b.mu);  // Bullet multiplies the two
  bar->setSleepingThresholds(0, 0);
  world.addRigidBody(bar);
  bodies.push_back(bar), shapes.push_back(s);
  // first it settles without a pull along the chute, then it is let go
  btVector3 across = down - x * down.dot(x);
  world.setGravity(across * 9.80665);
  for (int i = 0; i < 480; i++) world.stepSimulation(1. / 240, 0);
  double from = bar->getCenterOfMassPosition().dot(x);
  world.setGravity(down * 9.80665);
  for (int i = 0; i < 480; i++) world.stepSimulation(1. / 240, 0);
  bool moved = std::fabs(bar->getCenterOfMassPosition().dot(x) - from) > 0.1;  // 1 mm
  for (auto *body : bodies) {
    world.removeRigidBody(body);
    delete body->getMotionState();
    delete body;
  }
  for (auto *shape : shapes) delete shape;
  return moved;
}

int main() {
  struct Mechanism {
    const char *name;
    btVector3 axis;
    std::vector<Bar> bars;
  };
  std::vector<Mechanism> all = {
      {"level", btVector3(0, 1, 0), {{"bar", btVector3(1, 0, 0), 0.3}}},
      {"ramp", btVector3(0, 1, 0), {{"bar", btVector3(std::cos(10 * deg), 0, std::sin(10 * deg)), 0.3}}},
      {"cross", btVector3(-std::sin(12 * deg), std::cos(12 * deg), 0),
       {{"long", btVector3(1, 0, 0), 0.2}, {"oblique", btVector3(std::cos(60 * deg), std::sin(60 * deg), 0), 0.2}}},
  };
  for (auto &m : all)
    for (auto &b : m.bars) {
      double at = -1;
      for (double a = 0; a <= 88; a += 0.25)
        if (runs(b, m.axis, a * deg)) {
          at = a;
          break;
        }
      std::printf("%s %s %.2f\n", m.name, b.name, at);
    }
}
