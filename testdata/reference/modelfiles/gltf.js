// Validates GLB files with gltf-validator of the Khronos Group: node gltf.js FILE...
// One line a file; the exit status is 1 if there is an error or a warning.
const fs = require("fs");
const path = require("path");
const validator = require("gltf-validator");

(async () => {
  for (const file of process.argv.slice(2)) {
    const r = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), { uri: path.basename(file) });
    const n = r.issues;
    console.log(
      `${path.basename(file)}: ${n.numErrors} errors, ${n.numWarnings} warnings, ${n.numInfos} infos, ${n.numHints} hints; ` +
        `${r.info.drawCallCount} meshes, ${r.info.totalTriangleCount} triangles, ${r.info.materialCount} materials`,
    );
    for (const m of n.messages) console.log(`  ${m.code} ${m.pointer}: ${m.message}`);
    if (n.numErrors + n.numWarnings > 0) process.exitCode = 1;
  }
})();
