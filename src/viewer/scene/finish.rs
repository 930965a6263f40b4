//! The finish of parts: see `finish.wgsl`.

use bevy::asset::embedded_asset;
use bevy::mesh::MeshVertexBufferLayoutRef;
use bevy::pbr::{MaterialPipeline, MaterialPipelineKey};
use bevy::prelude::*;
use bevy::render::render_resource::{AsBindGroup, RenderPipelineDescriptor, SpecializedMeshPipelineError};
use bevy::shader::ShaderRef;

pub(super) fn plugin(app: &mut App) {
    embedded_asset!(app, "finish.wgsl");
    app.add_plugins(MaterialPlugin::<Finish>::default());
}

/// A colour, shaded by the way a face looks; seen through where its alpha is less than one.
#[derive(Asset, TypePath, AsBindGroup, Debug, Clone)]
pub struct Finish {
    /// The colour.
    #[uniform(0)]
    pub colour: LinearRgba,
}

impl From<Color> for Finish {
    fn from(colour: Color) -> Self {
        Self { colour: colour.into() }
    }
}

impl Material for Finish {
    fn fragment_shader() -> ShaderRef {
        "embedded://scribeline/viewer/scene/finish.wgsl".into()
    }

    fn alpha_mode(&self) -> AlphaMode {
        if self.colour.alpha < 1.0 { AlphaMode::Blend } else { AlphaMode::Opaque }
    }

    fn enable_prepass() -> bool {
        false
    }

    fn enable_shadows() -> bool {
        false
    }

    fn specialize(
        _pipeline: &MaterialPipeline,
        descriptor: &mut RenderPipelineDescriptor,
        _layout: &MeshVertexBufferLayoutRef,
        _key: MaterialPipelineKey<Self>,
    ) -> Result<(), SpecializedMeshPipelineError> {
        // Skins are seen from both sides.
        descriptor.primitive.cull_mode = None;
        Ok(())
    }
}
