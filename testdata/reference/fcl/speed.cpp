// Times libfcl on one pair of parts: exact distance, and yes/no.
// usage: speed MOVING.stl RESTING.stl [X Y Z], the last a shift of the first, mm
#include "mesh.h"
#include <chrono>
#include <random>

int main(int argc, char **argv) {
  if (argc != 3 && argc != 6) {
    fprintf(stderr, "usage: speed MOVING.stl RESTING.stl [X Y Z]\n");
    return 2;
  }
  using clock = std::chrono::steady_clock;
  auto ms = [](clock::duration d) { return std::chrono::duration<double, std::milli>(d).count(); };
  Mesh ma = readSTL(argv[1]), mb = readSTL(argv[2]);
  auto start = clock::now();
  auto a = ma.model(), b = mb.model();
  printf("trees of %zu and %zu triangles: %.1f ms\n", ma.t.size(), mb.t.size(), ms(clock::now() - start));
  fcl::Transform3d pose = fcl::Transform3d::Identity();
  if (argc == 6) pose.translation() = fcl::Vector3d(atof(argv[3]), atof(argv[4]), atof(argv[5]));

  // a hundredth of a millimetre to and fro, so that no two questions are the same
  std::mt19937_64 random(7);
  auto shake = [&] {
    auto p = pose;
    p.translation()[2] += 0.01 * double(random() >> 11) / 9007199254740992.0;
    return p;
  };
  double sum = 0;
  int n = 0, hits = 0;
  for (start = clock::now(); n < 20 || (clock::now() - start < std::chrono::seconds(5) && n < 1000); n++) sum += distance(*a, shake(), *b);
  printf("exact distance: %.3f ms each (%d of them, mean %.6f mm)\n", ms(clock::now() - start) / n, n, sum / n);
  n = 0;
  for (start = clock::now(); n < 20 || (clock::now() - start < std::chrono::seconds(5) && n < 10000); n++) hits += collide(*a, shake(), *b);
  printf("yes or no: %.3f ms each (%d of them, %d touch)\n", ms(clock::now() - start) / n, n, hits);
}
