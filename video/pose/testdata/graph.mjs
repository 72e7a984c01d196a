// Runs the whole pipeline of @mediapipe/pose on the JPEG files of a folder and
// prints the landmarks as parts of the picture.
//
//   cd DIR && npm pack @mediapipe/pose@0.5.1675469404 && tar xzf mediapipe-pose-0.5.1675469404.tgz
//   node video/pose/testdata/graph.mjs DIR > video/pose/testdata/graph.json
//
// The runtime is WebAssembly and WebGL for browsers, so it runs in Debian's
// headless Chromium, served from this machine to itself.
import {spawn} from 'node:child_process';
import fs from 'node:fs';
import http from 'node:http';
import os from 'node:os';
import path from 'node:path';

const dir = path.resolve(process.argv[2]);
const names = fs.readdirSync(dir).filter(f => f.endsWith('.jpg')).sort();
const page = `<!doctype html><script src="/package/pose.js"></script><script>
(async () => {
  const post = (at, v) => fetch(at, {method: 'POST', body: JSON.stringify(v)});
  try {
    for (const name of ${JSON.stringify(names)}) {
      const pose = new Pose({locateFile: f => '/package/' + f});
      pose.setOptions({modelComplexity: 1, smoothLandmarks: false, enableSegmentation: false});
      let got;
      pose.onResults(r => { got = r.poseLandmarks; });
      const img = new Image();
      img.src = '/' + name;
      await img.decode();
      await pose.initialize();
      for (let i = 0; i < 3 && !got; i++) await pose.send({image: img}); // the first may come to nothing
      await post('/result/' + name, got || null);
      await pose.close();
    }
  } catch (e) { await post('/result/error', String(e)); }
  await post('/done', 0);
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
  chromium = spawn('chromium', ['--headless', '--no-sandbox', '--use-gl=angle', '--use-angle=swiftshader',
    '--enable-unsafe-swiftshader', `--user-data-dir=${profile}`, `http://127.0.0.1:${server.address().port}/`], {stdio: 'ignore'});
});

function finish() {
  const rows = Object.keys(results).map(n => JSON.stringify(n) + ': ' + JSON.stringify(results[n] && results[n].map
    ? results[n].map(l => [l.x, l.y, l.visibility].map(v => Number(v.toFixed(5)))) : results[n]));
  console.log('{\n' + rows.join(',\n') + '\n}');
  chromium.kill();
  server.close();
  chromium.on('exit', () => {
    fs.rmSync(profile, {recursive: true, force: true});
    process.exit();
  });
}
