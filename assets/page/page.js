// The car on the page: turned, moved, and lit where parts touch. Our own, and all of it: no library, no network.
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const scene = JSON.parse(byId("scene").textContent);
  const canvas = byId("canvas"), stage = byId("stage"), still = document.querySelector(".still");
  const gl = canvas.getContext("webgl2", { stencil: true, antialias: true }) || canvas.getContext("webgl", { stencil: true });
  // On paper all is shown.
  addEventListener("beforeprint", () => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
  // Without a picture in 3D, or in a browser that is too old for it, the drawing from the side stays.
  if (!gl || !window.ResizeObserver || !stage.replaceChildren || (gl instanceof WebGLRenderingContext && !gl.getExtension("OES_element_index_uint"))) return;

  const INK = [0x21, 0x25, 0x2a], PAPER = [0xf1, 0xec, 0xe1], RULE = [0xd8, 0xd0, 0xc0], BLUE = [0x1c, 0x45, 0x85];
  const TOUCH = [0xc4, 0x4b, 0x04], SHORT = [0xe0, 0x96, 0x2a], STRIPE = [0xfb, 0xdf, 0xc8];
  const of255 = (rgb) => rgb.map((v) => v / 255);
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;

  // ---- what the file holds ----
  const buffer = (() => {
    if (Uint8Array.fromBase64) return Uint8Array.fromBase64(scene.bytes).buffer;
    const text = atob(scene.bytes), bytes = new Uint8Array(text.length);
    for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
    return bytes.buffer;
  })();
  delete scene.bytes;
  const floats = (at, count) => new Float32Array(buffer, at, count);

  const put = (target, data) => {
    const made = gl.createBuffer();
    gl.bindBuffer(target, made);
    gl.bufferData(target, data, gl.STATIC_DRAW);
    return made;
  };
  const meshes = scene.meshes.map((m) => {
    const places = ([at, count]) => (m.wide ? new Uint32Array(buffer, at, count) : new Uint16Array(buffer, at, count));
    return {
      points: floats(m.corners[0], 3 * m.corners[1]),
      corners: put(gl.ARRAY_BUFFER, floats(m.corners[0], 3 * m.corners[1])),
      normals: put(gl.ARRAY_BUFFER, new Int8Array(buffer, m.normals, 4 * m.corners[1])),
      triangles: put(gl.ELEMENT_ARRAY_BUFFER, places(m.triangles)), faces: m.triangles[1],
      edges: put(gl.ELEMENT_ARRAY_BUFFER, places(m.edges)), lines: m.edges[1],
      type: m.wide ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT,
    };
  });
  for (const car of scene.cars) {
    const counts = car.along.map((list) => list.length);
    car.whole = counts[0] * counts[1] * counts[2];
    car.stands = floats(car.stands, 4 * car.whole);
    for (const piece of car.pieces) {
      piece.counts = counts.map((n, i) => (piece.varies[i] ? n : 1));
      piece.placed = floats(piece.placed, 8 * piece.counts[0] * piece.counts[1] * piece.counts[2]);
      piece.rgb = [piece.colour >> 16, (piece.colour >> 8) & 255, piece.colour & 255];
      piece.model = new Float32Array(16);
    }
    for (const pair of car.pairs) pair.gaps = floats(pair.gaps, 4 * car.whole);
    car.counts = counts;
    car.ends = car.along.map((list) => [list[0], list[list.length - 1]]);
  }

  // ---- between the poses that were calculated ----
  const locate = (list, value) => {
    if (list.length === 1 || value <= list[0]) return [0, 0];
    const last = list.length - 1;
    if (value >= list[last]) return [last, 0];
    let i = 0;
    while (list[i + 1] <= value) i++;
    return [i, (value - list[i]) / (list[i + 1] - list[i])];
  };
  // Corners around a pose and their weights; what does not vary along a motion has one place there.
  const around = (car, pose) => car.along.map((list, i) => locate(list, pose[i]));
  const corners = (at, counts, each) => {
    for (let n = 0; n < 8; n++) {
      let weight = 1, place = 0, skip = false;
      for (let axis = 0; axis < 3; axis++) {
        const up = (n >> axis) & 1, [i, t] = at[axis];
        if (counts[axis] === 1) {
          if (up) skip = true;
          continue;
        }
        weight *= up ? t : 1 - t;
        place += (i + up) * (axis === 0 ? counts[1] * counts[2] : axis === 1 ? counts[2] : 1);
      }
      if (!skip && weight > 1e-6) each(place, weight);
    }
  };
  const sample = (list, width, at, counts, out) => {
    out.fill(0);
    corners(at, counts, (place, weight) => {
      for (let i = 0; i < width; i++) out[i] += weight * list[width * place + i];
    });
    return out;
  };
  // A turn has two signs; they are added up on the side of the first.
  const placed = new Float64Array(8);
  const samplePiece = (piece, at) => {
    placed.fill(0);
    corners(at, piece.counts, (place, weight) => {
      const p = piece.placed, o = 8 * place;
      const dot = placed[3] * p[o + 3] + placed[4] * p[o + 4] + placed[5] * p[o + 5] + placed[6] * p[o + 6];
      for (let i = 0; i < 8; i++) placed[i] += (i > 2 && i < 7 && dot < 0 ? -weight : weight) * p[o + i];
    });
    const [x, y, z, a, b, c, d, s] = placed, q = 1 / Math.hypot(a, b, c, d);
    piece.stretch = s;
    return matrix(x, y, z, a * q, b * q, c * q, d * q, s);
  };

  // ---- matrices, in columns ----
  const matrix = (x, y, z, a, b, c, d, s) => [
    (1 - 2 * (b * b + c * c)) * s, 2 * (a * b + d * c) * s, 2 * (a * c - d * b) * s, 0,
    2 * (a * b - d * c), 1 - 2 * (a * a + c * c), 2 * (b * c + d * a), 0,
    2 * (a * c + d * b), 2 * (b * c - d * a), 1 - 2 * (a * a + b * b), 0,
    x, y, z, 1,
  ];
  const times = (p, q, out) => {
    for (let c = 0; c < 4; c++)
      for (let r = 0; r < 4; r++)
        out[4 * c + r] = p[r] * q[4 * c] + p[4 + r] * q[4 * c + 1] + p[8 + r] * q[4 * c + 2] + p[12 + r] * q[4 * c + 3];
    return out;
  };
  const carry = (m, [x, y, z]) => [0, 1, 2, 3].map((r) => m[r] * x + m[4 + r] * y + m[8 + r] * z + m[12 + r]);
  // The body turns about the ground under the file's origin, then rises.
  const bodyOf = (car, heave, roll) => {
    const c = Math.cos(roll), s = Math.sin(roll), g = -car.ground;
    return [1, 0, 0, 0, 0, c, s, 0, 0, -s, c, 0, 0, -s * g, c * g + heave, 1];
  };

  // ---- state ----
  const state = { car: 1, ghost: false, heave: 0, roll: 0, rack: 0, playing: false, started: 0 };
  const eye = { az: 0, el: 0, distance: 1, target: [0, 0, 0], goal: null };
  const shown = () => scene.cars[state.car];
  // Sliders run from -1 to 1: bump, lean to the right and steering to the right are positive.
  const poseOf = (car) => {
    const [low, high] = car.ends[0];
    return [
      state.heave > 0 ? state.heave * low : -state.heave * high,
      state.roll * car.ends[1][1],
      -state.rack * car.leftIs * car.ends[2][1],
    ];
  };

  // ---- drawing ----
  const compile = (vertex, fragment) => {
    const program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.bindAttribLocation(program, 0, "corner");
    gl.bindAttribLocation(program, 1, "normal");
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program));
    const at = {};
    for (let i = 0; i < gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS); i++) {
      const { name } = gl.getActiveUniform(program, i);
      at[name] = gl.getUniformLocation(program, name);
    }
    return { program, at };
  };
  const VERTEX = `
    attribute vec3 corner; attribute vec3 normal;
    uniform mat4 model, view; uniform float stretch, grow, near; uniform vec2 size;
    varying vec3 way;
    void main() {
      way = mat3(model) * vec3(normal.x / (stretch * stretch), normal.yz);
      vec4 at = view * (model * vec4(corner, 1.0));
      if (grow > 0.0) {
        vec2 out2 = (view * vec4(way, 0.0)).xy * size;
        float far = length(out2);
        if (far > 0.0) at.xy += out2 / far * grow * 2.0 / size * at.w;
      }
      at.z -= near * at.w;
      gl_Position = at;
    }`;
  // One even wash over each face by the way it looks, as in the program's own window; stripes on what touches.
  const solid = compile(VERTEX, `
    precision mediump float;
    uniform vec4 colour, stripe; uniform float flat1;
    varying vec3 way;
    void main() {
      vec3 n = normalize(way) * (gl_FrontFacing ? 1.0 : -1.0);
      float key = 0.5 + 0.5 * dot(n, vec3(0.33, 0.42, 0.84));
      float back = max(dot(n, vec3(-0.62, -0.55, 0.56)), 0.0);
      float shade = mix(0.46 + 0.64 * key * key + 0.10 * back, 1.0, flat1);
      vec3 rgb = colour.rgb;
      if (stripe.a > 0.0 && mod(gl_FragCoord.x + gl_FragCoord.y, stripe.a) < 0.4 * stripe.a) rgb = stripe.rgb;
      gl_FragColor = vec4(rgb * shade * colour.a, colour.a);
    }`);
  const grid = (() => {
    const lines = [];
    for (let i = -8; i <= 4; i++) lines.push(500 * i, -1500, 0, 500 * i, 1500, 0);
    for (let i = -3; i <= 3; i++) lines.push(-4000, 500 * i, 0, 2000, 500 * i, 0);
    return { corners: put(gl.ARRAY_BUFFER, new Float32Array(lines)), count: lines.length / 3 };
  })();
  const IDENTITY = new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
  const flattened = new Float32Array(16), view = new Float32Array(16);
  let width = 1, height = 1, scale = 1;
  const FOV = Math.tan((15 * Math.PI) / 180);

  const axes = (az, el) => {
    const out = [Math.cos(el) * Math.cos(az), Math.cos(el) * Math.sin(az), Math.sin(el)];
    const right = [-Math.sin(az), Math.cos(az), 0];
    const up = [-Math.sin(el) * Math.cos(az), -Math.sin(el) * Math.sin(az), Math.cos(el)];
    return { out, right, up };
  };
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const look = () => {
    const { out, right, up } = axes(eye.az, eye.el), t = eye.target, d = eye.distance;
    const at = [t[0] + out[0] * d, t[1] + out[1] * d, t[2] + out[2] * d];
    const v = [
      right[0], up[0], out[0], 0, right[1], up[1], out[1], 0, right[2], up[2], out[2], 0,
      -dot(right, at), -dot(up, at), -dot(out, at), 1,
    ];
    const n = Math.max(20, d * 0.05), f = d + 12000, tall = 1 / FOV, wide = (tall * height) / width;
    times([wide, 0, 0, 0, 0, tall, 0, 0, 0, 0, (f + n) / (n - f), -1, 0, 0, (2 * f * n) / (n - f), 0], v, view);
  };

  const use = (model, stretch, rgb, alpha, options = {}) => {
    const { at } = solid, { grow = 0, near = 0, flat = 0, stripe = null } = options;
    gl.uniformMatrix4fv(at.model, false, model);
    gl.uniform1f(at.stretch, stretch);
    gl.uniform1f(at.grow, grow * scale);
    gl.uniform1f(at.near, near);
    gl.uniform1f(at.flat1, flat);
    gl.uniform4f(at.colour, rgb[0] / 255, rgb[1] / 255, rgb[2] / 255, alpha);
    const s = stripe ? of255(stripe) : [0, 0, 0];
    gl.uniform4f(at.stripe, s[0], s[1], s[2], stripe ? 13 * scale : 0);
  };
  const bind = (mesh) => {
    gl.bindBuffer(gl.ARRAY_BUFFER, mesh.corners);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.bindBuffer(gl.ARRAY_BUFFER, mesh.normals);
    gl.vertexAttribPointer(1, 3, gl.BYTE, true, 4, 0);
  };
  const faces = (mesh) => {
    bind(mesh);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, mesh.triangles);
    gl.drawElements(gl.TRIANGLES, mesh.faces, mesh.type, 0);
  };
  const edges = (mesh) => {
    if (!mesh.lines) return;
    bind(mesh);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, mesh.edges);
    gl.drawElements(gl.LINES, mesh.lines, mesh.type, 0);
  };

  const place = (car) => {
    const at = around(car, poseOf(car));
    const stands = sample(car.stands, 4, at, car.counts, new Float64Array(4));
    car.now = { at, heave: stands[0], roll: stands[1], rack: stands[2], steer: stands[3] };
    car.body = bodyOf(car, stands[0], stands[1]);
    for (const piece of car.pieces) times(car.body, samplePiece(piece, at), piece.model);
  };
  // Pairs that are not clear in the pose shown, the worst first.
  const near = (car) => {
    const found = [];
    for (const pair of car.pairs) {
      let gap = 0, weights = 0;
      const witness = [0, 0, 0];
      corners(car.now.at, car.counts, (at, weight) => {
        const g = pair.gaps, o = 4 * at;
        gap += weight * g[o];
        if (g[o] > 149.9) return;
        weights += weight;
        for (let i = 0; i < 3; i++) witness[i] += weight * g[o + 1 + i];
      });
      if (gap < pair.wanted && weights > 0) found.push({ pair, gap, at: witness.map((v) => v / weights) });
    }
    return found.sort((a, b) => (a.gap < 0) === (b.gap < 0) ? a.gap - b.gap : a.gap < 0 ? -1 : 1);
  };

  const draw = () => {
    const car = shown(), other = scene.cars[1 - state.car];
    place(car);
    if (state.ghost) place(other);
    look();
    const found = near(car), lit = new Map();
    for (const { pair, gap } of found)
      for (const role of pair.roles) if (lit.get(role) !== "touches") lit.set(role, gap < 0 ? "touches" : "short");
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...of255(PAPER), 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    gl.useProgram(solid.program);
    gl.uniformMatrix4fv(solid.at.view, false, view);
    gl.uniform2f(solid.at.size, canvas.width, canvas.height);
    gl.enableVertexAttribArray(0);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);

    // The ground: its lines, and the shadow of what stands over it, each place of it once.
    gl.disable(gl.DEPTH_TEST);
    gl.disableVertexAttribArray(1);
    gl.vertexAttrib3f(1, 0, 0, 1);
    use(IDENTITY, 1, RULE, 0.8, { flat: 1 });
    gl.bindBuffer(gl.ARRAY_BUFFER, grid.corners);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.drawArrays(gl.LINES, 0, grid.count);
    gl.enableVertexAttribArray(1);
    if (eye.el > 0.01) {
      gl.enable(gl.STENCIL_TEST);
      gl.stencilFunc(gl.EQUAL, 0, 1);
      gl.stencilOp(gl.KEEP, gl.KEEP, gl.INCR);
      for (const piece of car.pieces) {
        flattened.set(piece.model);
        for (let c = 0; c < 4; c++) flattened[4 * c + 2] = 0;
        use(flattened, piece.stretch, INK, 0.1, { flat: 1 });
        faces(meshes[piece.mesh]);
      }
      gl.disable(gl.STENCIL_TEST);
    }
    gl.enable(gl.DEPTH_TEST);

    const looks = (piece) => {
      const is = lit.get(piece.role);
      if (!is) return [piece.rgb, {}];
      const colour = is === "touches" ? TOUCH : SHORT, share = piece.rgb[0] < 100 ? 0.55 : 0.85;
      const rgb = piece.rgb.map((v, i) => v + (colour[i] - v) * share);
      return [rgb, is === "touches" ? { stripe: STRIPE.map((v, i) => rgb[i] + (v - rgb[i]) * 0.6) } : {}];
    };
    for (const piece of car.pieces) {
      if (piece.alpha < 1) continue;
      const mesh = meshes[piece.mesh], is = lit.get(piece.role), [rgb, options] = looks(piece);
      use(piece.model, piece.stretch, rgb, 1, options);
      faces(mesh);
      // Its outline: the far side of it a little larger, in ink, or thick in the colour of its verdict.
      gl.enable(gl.CULL_FACE);
      gl.cullFace(gl.FRONT);
      use(piece.model, piece.stretch, is ? (is === "touches" ? [0x7a, 0x2a, 0] : [0x8a, 0x54, 0]) : INK, 1, { flat: 1, grow: is ? 2 : 0.7 });
      faces(mesh);
      gl.disable(gl.CULL_FACE);
      use(piece.model, piece.stretch, INK, 0.6, { flat: 1, near: 0.0004 });
      edges(mesh);
    }
    gl.depthMask(false);
    if (state.ghost)
      for (const piece of other.pieces) {
        gl.enable(gl.CULL_FACE);
        gl.cullFace(gl.BACK);
        use(piece.model, piece.stretch, BLUE, 0.15, { flat: 1 });
        faces(meshes[piece.mesh]);
        gl.disable(gl.CULL_FACE);
        use(piece.model, piece.stretch, BLUE, 0.45, { flat: 1, near: 0.0004 });
        edges(meshes[piece.mesh]);
      }
    for (const piece of car.pieces) {
      if (piece.alpha === 1) continue;
      const mesh = meshes[piece.mesh], is = lit.get(piece.role), [rgb, options] = looks(piece);
      use(piece.model, piece.stretch, rgb, is ? 0.5 : piece.alpha, options);
      faces(mesh);
      use(piece.model, piece.stretch, is ? [0x7a, 0x2a, 0] : INK, is ? 1 : 0.5, { flat: 1, near: 0.0004 });
      edges(mesh);
    }
    gl.depthMask(true);
    tell(car, found);
  };

  // ---- words beside the picture ----
  const MOST = 9;
  const length = (mm) => `${(mm / scene.inMm).toFixed(scene.decimals)} ${scene.unit}`;
  const marks = byId("marks"), list = byId("touching-list"), head = byId("touching-head");
  const made = (tag, name, text) => {
    const element = document.createElement(tag);
    element.className = name;
    element.textContent = text;
    return element;
  };
  let told = "";
  const tell = (car, found) => {
    const { heave, roll, steer } = car.now;
    byId("heave-says").textContent =
      Math.abs(heave) < 0.05 ? "ride height" : `${length(Math.abs(heave))} ${heave < 0 ? "bump" : "droop"}`;
    const lean = (roll * 180) / Math.PI;
    byId("roll-says").textContent = Math.abs(lean) < 0.05 ? "level" : `${Math.abs(lean).toFixed(1)} deg ${lean > 0 ? "right" : "left"}`;
    byId("rack-says").textContent = Math.abs(steer) < 0.15 ? "straight" : `${Math.abs(steer).toFixed(1)} deg ${steer > 0 ? "left" : "right"}`;
    const touching = found.filter((f) => f.gap < 0).length, short = found.length - touching;
    const count = (n, one, many) => (n === 1 ? `1 pair ${one}` : `${n} pairs ${many}`);
    head.textContent = !found.length ? "In this pose nothing touches, and everything has its wanted gap."
      : `In this pose ${touching ? count(touching, "touches", "touch") : "nothing touches"}` +
        (short ? `, ${short} ${short === 1 ? "is" : "are"} nearer than wanted.` : ".");
    const worst = found.slice(0, MOST);
    // Between the poses that were calculated numbers go in straight lines, and are no truer than about a millimetre.
    const about = car.now.at.some(([, share]) => share > 1e-3 && share < 0.999) ? "about " : "";
    const lines = worst.map(({ pair, gap }) => [
      gap < 0 ? "touches" : "short", `${pair.a} and ${pair.b}`,
      about + (gap < 0 ? `${length(-gap)} into each other` : `${length(gap)} apart`),
    ]);
    const now = JSON.stringify(lines);
    if (now !== told) {
      told = now;
      list.replaceChildren(...lines.map(([is, what, gap], i) => {
        const item = made("li", is, "");
        item.append(made("span", `mark ${is}`, `${i + 1}`), made("span", "", what), made("b", "", gap));
        return item;
      }));
      if (found.length > MOST) list.append(made("li", "", `and ${found.length - MOST} more`));
      marks.replaceChildren(...lines.map(([is], i) => made("span", `mark ${is}`, `${i + 1}`)));
    }
    // Marks that would cover one another stand above one another.
    const taken = [];
    worst.forEach(({ at }, i) => {
      const [x, y, , w] = carry(view, carry(car.body, at).slice(0, 3));
      let px = ((x / w + 1) / 2) * width, py = ((1 - y / w) / 2) * height;
      while (taken.some(([tx, ty]) => Math.hypot(tx - px, ty - py) < 22)) py -= 8;
      taken.push([px, py]);
      px = Math.min(Math.max(px, 14), width - 14);
      py = Math.min(Math.max(py, 14), height - 14);
      marks.children[i].style.transform = `translate(${px.toFixed(1)}px, ${py.toFixed(1)}px)`;
      marks.children[i].hidden = w < 0;
    });
  };

  // ---- where it is seen from ----
  // Places of a car at rest, enough to tell how large it looks.
  const placesOf = (car, is) => {
    place(car);
    const places = [];
    for (const piece of car.pieces) {
      if (!is(piece)) continue;
      const p = meshes[piece.mesh].points, step = 3 * Math.max(1, Math.floor(p.length / 3 / 48));
      for (let i = 0; i < p.length; i += step) places.push(carry(piece.model, [p[i], p[i + 1], p[i + 2]]));
    }
    return places;
  };
  const rad = (deg) => (deg * Math.PI) / 180;
  const VIEWS = { corner: [34, 20], front: [0, 5], side: [90, 4], above: [90, 89], wheel: [58, 12] };
  const places = {
    whole: placesOf(scene.cars[1], () => true),
    wheel: placesOf(scene.cars[1], (piece) => piece.name === "left front tyre"),
  };
  const fitted = (name) => {
    const [az, el] = VIEWS[name].map(rad), all = name === "wheel" ? places.wheel : places.whole;
    const { out, right, up } = axes(az, el), room = name === "wheel" ? 0.7 : 0.92;
    const tall = FOV * room, wide = ((FOV * width) / height) * room;
    let target = [0, 1, 2].map((i) => all.reduce((sum, p) => sum + p[i] / all.length, 0)), distance = 0;
    for (let turn = 0; turn < 4; turn++) {
      // As near as all of it stays in the picture, then its middle in the middle.
      const off = all.map((p) => p.map((v, i) => v - target[i])).map((p) => [dot(p, right), dot(p, up), dot(p, out)]);
      distance = Math.max(...off.map(([x, y, z]) => Math.max(Math.abs(x) / wide, Math.abs(y) / tall) + z));
      const middle = (i) => {
        const at = off.map((p) => p[i] / (distance - p[2]));
        return ((Math.min(...at) + Math.max(...at)) / 2) * distance * (turn < 3 ? 1 : 0);
      };
      const [x, y] = [middle(0), middle(1)];
      target = target.map((v, i) => v + right[i] * x + up[i] * y);
    }
    return { az, el, distance, target };
  };
  let seen = "corner";
  const press = (buttons, is) => buttons.forEach((b) => b.setAttribute("aria-pressed", String(is(b))));
  const views = [...document.querySelectorAll("[data-view]")], cars = [...document.querySelectorAll("[data-car]")];
  const go = (name, at_once) => {
    seen = name;
    press(views, (b) => b.dataset.view === name);
    const goal = fitted(name);
    goal.az = eye.az + Math.atan2(Math.sin(goal.az - eye.az), Math.cos(goal.az - eye.az));
    if (at_once || calm) Object.assign(eye, goal, { goal: null });
    else eye.goal = { from: { ...eye, target: [...eye.target] }, to: goal, start: performance.now() };
    ask();
  };
  const free = () => {
    seen = "";
    eye.goal = null;
    press(views, () => false);
    byId("hint").classList.add("gone");
  };
  const turn = (dx, dy) => {
    free();
    eye.az -= dx * 0.0075;
    eye.el = Math.min(Math.max(eye.el + dy * 0.0075, rad(-20)), rad(89));
    ask();
  };
  const nearer = (by) => {
    free();
    eye.distance = Math.min(Math.max(eye.distance * by, 500), 20000);
    ask();
  };
  const shift = (dx, dy) => {
    free();
    const { right, up } = axes(eye.az, eye.el), mm = (2 * FOV * eye.distance) / height;
    eye.target = eye.target.map((t, i) => t - (right[i] * dx - up[i] * dy) * mm);
    ask();
  };

  // ---- when it is drawn ----
  let asked = false;
  const ask = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(frame);
  };
  const frame = (now) => {
    asked = false;
    if (eye.goal) {
      const { from, to, start } = eye.goal, t = Math.min((now - start) / 380, 1), k = t * t * (3 - 2 * t);
      const mix = (a, b) => a + (b - a) * k;
      eye.az = mix(from.az, to.az);
      eye.el = mix(from.el, to.el);
      eye.distance = mix(from.distance, to.distance);
      eye.target = from.target.map((v, i) => mix(v, to.target[i]));
      if (t >= 1) eye.goal = null;
    }
    if (state.playing) play(now);
    draw();
    if (state.playing || eye.goal) ask();
  };
  const sliders = { heave: byId("heave"), roll: byId("roll"), rack: byId("rack") };
  // Bump and droop, then roll, then steering, three seconds or so each.
  const play = (now) => {
    const t = ((now - state.started) / 1000) % 10;
    const wave = (from, lasts) => (t < from || t > from + lasts ? 0 : Math.sin((2 * Math.PI * (t - from)) / lasts));
    set("heave", wave(0, 3));
    set("roll", wave(3, 3));
    set("rack", wave(6, 4));
  };
  const set = (name, value) => {
    state[name] = value;
    sliders[name].value = value;
  };
  const playing = (is) => {
    state.playing = is;
    state.started = performance.now();
    byId("play").textContent = is ? "Stop" : "Play";
    byId("play").setAttribute("aria-pressed", String(is));
    ask();
  };
  const choose = (car) => {
    state.car = car;
    press(cars, (b) => Number(b.dataset.car) === car);
    byId("ghost-says").textContent = car ? "Ghost as found" : "Ghost proposed";
    for (const [axis, name] of ["heave", "roll", "rack"].entries()) sliders[name].disabled = shown().counts[axis] === 1;
    ask();
  };

  for (const name of Object.keys(sliders))
    sliders[name].addEventListener("input", () => {
      if (state.playing) playing(false);
      state[name] = Number(sliders[name].value);
      ask();
    });
  byId("play").addEventListener("click", () => playing(!state.playing));
  byId("rest").addEventListener("click", () => {
    playing(false);
    for (const name of Object.keys(sliders)) set(name, 0);
    ask();
  });
  byId("ghost").addEventListener("change", (e) => {
    state.ghost = e.target.checked;
    ask();
  });
  cars.forEach((b) => b.addEventListener("click", () => choose(Number(b.dataset.car))));
  views.forEach((b) => b.addEventListener("click", () => go(b.dataset.view)));

  // ---- hands on the picture ----
  const hands = new Map();
  const middle = () => {
    const at = [...hands.values()];
    return { x: (at[0].x + at[1].x) / 2, y: (at[0].y + at[1].y) / 2, apart: Math.hypot(at[0].x - at[1].x, at[0].y - at[1].y) };
  };
  canvas.addEventListener("pointerdown", (e) => {
    canvas.setPointerCapture(e.pointerId);
    hands.set(e.pointerId, { x: e.clientX, y: e.clientY });
  });
  canvas.addEventListener("pointermove", (e) => {
    const hand = hands.get(e.pointerId);
    if (!hand) return;
    const [dx, dy] = [e.clientX - hand.x, e.clientY - hand.y];
    if (hands.size === 2) {
      const before = middle();
      Object.assign(hand, { x: e.clientX, y: e.clientY });
      const after = middle();
      shift(after.x - before.x, after.y - before.y);
      nearer(before.apart / Math.max(after.apart, 1));
      return;
    }
    Object.assign(hand, { x: e.clientX, y: e.clientY });
    if (e.shiftKey || e.buttons & 2) shift(dx, dy);
    else turn(dx, dy);
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"])
    canvas.addEventListener(end, (e) => hands.delete(e.pointerId));
  canvas.addEventListener("contextmenu", (e) => e.preventDefault());
  // The wheel scrolls the page, until the picture was clicked.
  canvas.addEventListener("wheel", (e) => {
    if (document.activeElement !== canvas && !e.ctrlKey) return;
    e.preventDefault();
    nearer(Math.exp(e.deltaY * 0.0012));
  }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const keys = {
      ArrowLeft: () => turn(-16, 0), ArrowRight: () => turn(16, 0), ArrowUp: () => turn(0, 16), ArrowDown: () => turn(0, -16),
      "+": () => nearer(0.88), "=": () => nearer(0.88), "-": () => nearer(1.14), 0: () => go("corner"),
      " ": () => playing(!state.playing),
    };
    if (!keys[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    keys[e.key]();
  });
  canvas.addEventListener("webglcontextlost", () => {
    canvas.hidden = marks.hidden = byId("controls").hidden = byId("hint").hidden = true;
    stage.classList.remove("drawn");
    still.hidden = byId("no-picture").hidden = false;
  });

  const fit = () => {
    width = stage.clientWidth;
    height = stage.clientHeight;
    scale = Math.min(devicePixelRatio || 1, 2);
    canvas.width = Math.round(width * scale);
    canvas.height = Math.round(height * scale);
    if (seen) go(seen, true);
    else ask();
  };
  canvas.hidden = byId("controls").hidden = byId("hint").hidden = false;
  stage.classList.add("drawn");
  // On a wide window there is room for all the numbers.
  if (innerWidth >= 980) document.querySelectorAll("details").forEach((d) => (d.open = true));
  still.hidden = byId("no-picture").hidden = true;
  choose(1);
  fit();
  new ResizeObserver(fit).observe(stage);
  draw();
  document.documentElement.dataset.ready = "yes";
})();
