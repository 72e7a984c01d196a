// Runs each NAME.tflite of a folder on the floats in NAME.bin, in the runtime
// that made the format, and prints what came out as JSON.
//
//   go test ./video/pose/tflite -run TestReference -write DIR
//   (cd DIR && npm install @tensorflow/tfjs-tflite@0.0.1-alpha.10 @tensorflow/tfjs-core@4.9.0 @tensorflow/tfjs-backend-cpu@4.9.0)
//   node video/pose/tflite/testdata/reference.mjs DIR > video/pose/tflite/testdata/reference.json
//
// The runtime is WebAssembly for browsers, so it runs in Debian's headless
// Chromium, served from this machine to itself.
import {spawn} from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import os from 'node:os';
import path from 'node:path';

const dir = path.resolve(process.argv[2]);
const names = fs.readdirSync(dir).filter(f => f.endsWith('.tflite')).map(f => f.slice(0, -7)).sort();
const page = `<!doctype html>
<script src="/node_modules/@tensorflow/tfjs-core/dist/tf-core.min.js"></script>
<script src="/node_modules/@tensorflow/tfjs-backend-cpu/dist/tf-backend-cpu.min.js"></script>
<script src="/node_modules/@tensorflow/tfjs-tflite/dist/tf-tflite.min.js"></script>
<script>
(async () => {
  tflite.setWasmPath('/node_modules/@tensorflow/tfjs-tflite/wasm/');
  for (const name of ${JSON.stringify(names)}) {
    const result = {};
    try {
      const model = await tflite.loadTFLiteModel('/' + name + '.tflite', {numThreads: 1});
      const numbers = new Float32Array(await (await fetch('/' + name + '.bin')).arrayBuffer());
      const input = tf.tensor(numbers, model.inputs[0].shape);
      const times = [];
      let out;
      for (let i = 0; i < (numbers.length > 100000 ? 12 : 1); i++) {
        const begin = performance.now();
        out = model.predict(input);
        if (!(out instanceof tf.Tensor)) for (const k in out) out[k].dataSync(); else out.dataSync();
        times.push(performance.now() - begin);
      }
      result.milliseconds = times.sort((a, b) => a - b)[Math.floor(times.length / 2)];
      if (out instanceof tf.Tensor) out = {[model.outputs[0].name]: out};
      result.outputs = {};
      for (const k in out) result.outputs[k] = Array.from(out[k].dataSync());
    } catch (e) {
      result.error = String(e);
    }
    await fetch('/result/' + name, {method: 'POST', body: JSON.stringify(result)});
  }
  await fetch('/done', {method: 'POST'});
})();
</script>`;

const results = {};
const server = http.createServer((request, response) => {
  const at = decodeURIComponent(request.url.split('?')[0]);
  if (request.method === 'POST') {
    const parts = [];
    request.on('data', d => parts.push(d));
    request.on('end', () => {
      response.end();
      if (at === '/done') return finish();
      results[at.slice('/result/'.length)] = JSON.parse(Buffer.concat(parts));
    });
    return;
  }
  if (at === '/') return response.setHeader('content-type', 'text/html'), response.end(page);
  const file = path.join(dir, path.normalize(at));
  if (!file.startsWith(dir) || !fs.existsSync(file)) return response.writeHead(404), response.end();
  const kinds = {'.js': 'text/javascript', '.wasm': 'application/wasm'};
  response.setHeader('content-type', kinds[path.extname(file)] || 'application/octet-stream');
  fs.createReadStream(file).pipe(response);
});
const profile = fs.mkdtempSync(path.join(os.tmpdir(), 'chromium-'));
let chromium;
server.listen(0, '127.0.0.1', () => {
  chromium = spawn('chromium', ['--headless', '--no-sandbox', '--disable-gpu', `--user-data-dir=${profile}`,
    `http://127.0.0.1:${server.address().port}/`], {stdio: 'ignore'});
});

// Of long outputs every so-manieth number is kept, so that the file stays small.
function finish() {
  const kept = {};
  for (const name of names) {
    const r = results[name];
    if (r.error) {
      kept[name] = {error: r.error};
      continue;
    }
    if (r.milliseconds > 5) console.error(`${name}: ${r.milliseconds.toFixed(1)} ms`);
    kept[name] = {};
    for (const k in r.outputs) {
      const v = r.outputs[k];
      const step = v.length > 3000 ? Math.floor(v.length / 1500) | 1 : 1;
      kept[name][k] = {step, values: v.filter((_, i) => i % step === 0).map(x => Number(x.toPrecision(7)))};
    }
  }
  const rows = names.map(n => JSON.stringify(n) + ': ' + JSON.stringify(kept[n]));
  console.log('{\n' + rows.join(',\n') + '\n}');
  chromium.kill();
  server.close();
  chromium.on('exit', () => {
    fs.rmSync(profile, {recursive: true, force: true});
    process.exit();
  });
}
