// Distances of meshes in random poses by libfcl, as JSON on standard output.
// usage: distances FOLDER, which holds frame.stl, slider.stl, gate.stl, rod.stl
#include "mesh.h"
#include <random>

struct Named {
  std::string name;
  Mesh mesh;
};

static Mesh box(double x, double y, double z) {
  Mesh m;
  for (int i = 0; i < 8; i++) m.v.emplace_back(i & 1 ? x : -x, i & 2 ? y : -y, i & 4 ? z : -z);
  int q[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
  for (auto &f : q) {
    m.t.emplace_back(f[0], f[1], f[2]);
    m.t.emplace_back(f[0], f[2], f[3]);
  }
  return m;
}

static Mesh tetrahedron() {
  Mesh m;
  m.v = {{1, 1, 1}, {-7, 5, 2}, {3, -6, 4}, {0.5, 2, -9}};
  m.t = {{0, 1, 2}, {0, 3, 1}, {0, 2, 3}, {1, 3, 2}};
  return m;
}

// two cones tip to tip on an n-gon: thin triangles, sharp points
static Mesh spindle(int n, double r, double h) {
  Mesh m;
  for (int i = 0; i < n; i++) m.v.emplace_back(r * cos(2 * M_PI * i / n), r * sin(2 * M_PI * i / n), 0);
  m.v.emplace_back(0, 0, h);
  m.v.emplace_back(0, 0, -h);
  for (int i = 0; i < n; i++) {
    m.t.emplace_back(i, (i + 1) % n, n);
    m.t.emplace_back((i + 1) % n, i, n + 1);
  }
  return m;
}

int main(int argc, char **argv) {
  if (argc != 2) {
    fprintf(stderr, "usage: distances FOLDER\n");
    return 2;
  }
  std::vector<Named> drawn = {{"box", box(3, 4, 5)}, {"slab", box(20, 10, 0.5)}, {"tetrahedron", tetrahedron()}, {"spindle", spindle(36, 4, 15)}};
  std::vector<Named> parts;
  for (auto n : {"frame", "slider", "gate", "rod"}) parts.push_back({n, readSTL(std::string(argv[1]) + "/" + n + ".stl")});

  std::mt19937_64 random(20240229);
  auto uniform = [&](double lo, double hi) { return lo + (hi - lo) * double(random() >> 11) / 9007199254740992.0; };

  printf("{\n \"meshes\": {\n");
  for (size_t i = 0; i < drawn.size(); i++) {
    auto &m = drawn[i].mesh;
    printf("  \"%s\": {\"v\": [", drawn[i].name.c_str());
    for (size_t k = 0; k < m.v.size(); k++) printf("%s[%.17g, %.17g, %.17g]", k ? ", " : "", m.v[k][0], m.v[k][1], m.v[k][2]);
    printf("], \"t\": [");
    for (size_t k = 0; k < m.t.size(); k++) printf("%s[%zu, %zu, %zu]", k ? ", " : "", m.t[k][0], m.t[k][1], m.t[k][2]);
    printf("]}%s\n", i + 1 < drawn.size() ? "," : "");
  }
  printf(" },\n \"distances\": [\n");
  bool first = true;
  auto family = [&](std::vector<Named> &set, int rounds) {
    for (size_t i = 0; i < set.size(); i++)
      for (size_t j = i; j < set.size(); j++) {
        auto a = set[i].mesh.model(), b = set[j].mesh.model();
        fcl::Vector3d ca, cb;
        double ra, rb;
        set[i].mesh.ball(ca, ra);
        set[j].mesh.ball(cb, rb);
        for (int k = 0; k < rounds; k++) {
          Eigen::Quaterniond q(uniform(-1, 1), uniform(-1, 1), uniform(-1, 1), uniform(-1, 1));
          q.normalize();
          fcl::Vector3d d(uniform(-1, 1), uniform(-1, 1), uniform(-1, 1));
          d *= uniform(0.3, 1.0) * (ra + rb) / d.norm();
          fcl::Transform3d pose = fcl::Transform3d::Identity();
          pose.linear() = q.toRotationMatrix();
          pose.translation() = cb + d - pose.linear() * ca;
          double x = collide(*a, pose, *b) ? 0 : distance(*a, pose, *b);
          printf("%s  {\"a\": \"%s\", \"b\": \"%s\", \"pose\": [", first ? "" : ",\n", set[i].name.c_str(), set[j].name.c_str());
          first = false;
          for (int r = 0; r < 3; r++)
            for (int c = 0; c < 4; c++) printf("%s%.17g", r + c ? ", " : "", pose.matrix()(r, c));
          printf("], \"d\": %.17g}", x);
        }
      }
  };
  family(drawn, 9);
  family(parts, 12);
  printf("\n ]\n}\n");
}
