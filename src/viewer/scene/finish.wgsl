// A draughtsman's shading: one even wash over each face by the way it looks, and no more. It costs next to nothing, so
// the car can be turned even where a processor has to stand in for a graphics card.

#import bevy_pbr::forward_io::VertexOutput

@group(#{MATERIAL_BIND_GROUP}) @binding(0) var<uniform> colour: vec4<f32>;

@fragment
fn fragment(in: VertexOutput, @builtin(front_facing) front: bool) -> @location(0) vec4<f32> {
    let normal = normalize(in.world_normal) * select(-1.0, 1.0, front);
    // From above, ahead and a little to the left; then a weak light from behind on the right, so that no face is flat.
    let key = 0.5 + 0.5 * dot(normal, vec3(0.33, 0.42, 0.84));
    let back = max(dot(normal, vec3(-0.62, -0.55, 0.56)), 0.0);
    let shade = 0.46 + 0.64 * key * key + 0.10 * back;
    return vec4(colour.rgb * shade, colour.a);
}
