// Reads binary STL into libfcl's mesh model; shared by the programs here.
#pragma once
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fcl/fcl.h>
#include <map>
#include <memory>
#include <string>
#include <vector>

using Model = fcl::BVHModel<fcl::OBBRSSd>;

struct Mesh {
  std::vector<fcl::Vector3d> v;
  std::vector<fcl::Triangle> t;

  std::shared_ptr<Model> model() const {
    auto m = std::make_shared<Model>();
    m->beginModel();
    m->addSubModel(v, t);
    m->endModel();
    return m;
  }

  // middle and radius of the box around the vertices
  void ball(fcl::Vector3d &c, double &r) const {
    fcl::Vector3d lo = v[0], hi = v[0];
    for (auto &p : v) {
      lo = lo.cwiseMin(p);
      hi = hi.cwiseMax(p);
    }
    c = (lo + hi) / 2;
    r = (hi - lo).norm() / 2;
  }
};

inline Mesh readSTL(const std::string &name) {
  FILE *f = fopen(name.c_str(), "rb");
  if (!f) {
    perror(name.c_str());
    exit(1);
  }
  char head[80];
  uint32_t n = 0;
  if (fread(head, 80, 1, f) != 1 || fread(&n, 4, 1, f) != 1) exit(1);
  Mesh m;
  std::map<std::array<float, 3>, size_t> at;
  for (uint32_t i = 0; i < n; i++) {
    float x[12];
    uint16_t attribute;
    if (fread(x, 48, 1, f) != 1 || fread(&attribute, 2, 1, f) != 1) exit(1);
    size_t id[3];
    for (int k = 0; k < 3; k++) {
      std::array<float, 3> p = {x[3 + 3 * k] + 0.0f, x[4 + 3 * k] + 0.0f, x[5 + 3 * k] + 0.0f};
      auto known = at.find(p);
      if (known == at.end()) {
        known = at.emplace(p, m.v.size()).first;
        m.v.emplace_back(p[0], p[1], p[2]);
      }
      id[k] = known->second;
    }
    m.t.emplace_back(id[0], id[1], id[2]);
  }
  fclose(f);
  return m;
}

inline double distance(const Model &a, const fcl::Transform3d &pose, const Model &b) {
  fcl::DistanceRequestd request(true);
  fcl::DistanceResultd result;
  return fcl::distance(&a, pose, &b, fcl::Transform3d::Identity(), request, result);
}

inline bool collide(const Model &a, const fcl::Transform3d &pose, const Model &b) {
  fcl::CollisionRequestd request;
  fcl::CollisionResultd result;
  return fcl::collide(&a, pose, &b, fcl::Transform3d::Identity(), request, result) > 0;
}
