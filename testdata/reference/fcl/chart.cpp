// Times libfcl on a map of a part that slides along z and turns about it: 240 by
// 360 poses, of which every STEP-th is asked and the rest taken to be alike.
// usage: chart MOVING.stl RESTING.stl Z-FROM Z-TO STEP-EXACT STEP-YESNO
#include "mesh.h"
#include <chrono>

int main(int argc, char **argv) {
  if (argc != 7) {
    fprintf(stderr, "usage: chart MOVING.stl RESTING.stl Z-FROM Z-TO STEP-EXACT STEP-YESNO\n");
    return 2;
  }
  using clock = std::chrono::steady_clock;
  Mesh ma = readSTL(argv[1]), mb = readSTL(argv[2]);
  auto a = ma.model(), b = mb.model();
  double from = atof(argv[3]), to = atof(argv[4]);
  const int rows = 240, columns = 360;
  for (int exact = 1; exact >= 0; exact--) {
    int step = atoi(argv[exact ? 5 : 6]), n = 0;
    double sum = 0;
    auto start = clock::now();
    for (int i = 0; i < rows * columns; i += step, n++) {
      fcl::Transform3d pose = fcl::Transform3d::Identity();
      pose.linear() = Eigen::AngleAxisd((i % columns + 0.5) * 2 * M_PI / columns, Eigen::Vector3d::UnitZ()).toRotationMatrix();
      pose.translation()[2] = from + (to - from) * (i / columns + 0.5) / rows;
      sum += exact ? distance(*a, pose, *b) : collide(*a, pose, *b);
    }
    double s = std::chrono::duration<double>(clock::now() - start).count();
    printf("%s: %d of %d poses, %.3f s for all\n", exact ? "exact distances" : "yes or no", n, rows * columns, s * rows * columns / n);
  }
}
