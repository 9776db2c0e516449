//! Changes of parameters that go into a block, as the lists in which the format has them.
#![allow(unsafe_code, reason = "the format's interfaces are unsafe to call")]

use vst3::Steinberg::Vst::{
    IParamValueQueue, IParamValueQueueTrait, IParameterChanges, IParameterChangesTrait, ParamID, ParamValue,
};
use vst3::Steinberg::{int32, kInvalidArgument, kNotImplemented, kResultOk, tresult};
use vst3::{Class, ComWrapper};

/// A parameter takes a value, from 0 to 1, at a frame of a block.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Change {
    pub(crate) id: ParamID,
    pub(crate) frame: usize,
    pub(crate) value: ParamValue,
}

/// The changes of one parameter in a block.
struct Queue {
    id: ParamID,
    points: Vec<(usize, ParamValue)>,
}

impl Class for Queue {
    type Interfaces = (IParamValueQueue,);
}

impl IParamValueQueueTrait for Queue {
    unsafe fn getParameterId(&self) -> ParamID {
        self.id
    }

    unsafe fn getPointCount(&self) -> int32 {
        self.points.len() as int32
    }

    unsafe fn getPoint(&self, index: int32, frame: *mut int32, value: *mut ParamValue) -> tresult {
        let Some(point) = usize::try_from(index).ok().and_then(|index| self.points.get(index)) else {
            return kInvalidArgument;
        };
        // SAFETY: the plugin's variables, as in the format.
        unsafe {
            *frame = point.0 as int32;
            *value = point.1;
        }
        kResultOk
    }

    unsafe fn addPoint(&self, _: int32, _: ParamValue, _: *mut int32) -> tresult {
        kNotImplemented
    }
}

/// All changes in a block.
pub(crate) struct Changes {
    queues: Vec<ComWrapper<Queue>>,
}

impl Class for Changes {
    type Interfaces = (IParameterChanges,);
}

impl Changes {
    pub(crate) fn new(changes: &[Change]) -> ComWrapper<Self> {
        let mut queues: Vec<Queue> = Vec::new();
        for Change { id, frame, value } in changes {
            let found = queues.iter().position(|queue| queue.id == *id);
            let at = found.unwrap_or_else(|| {
                queues.push(Queue { id: *id, points: Vec::new() });
                queues.len() - 1
            });
            queues[at].points.push((*frame, *value));
        }
        ComWrapper::new(Self { queues: queues.into_iter().map(ComWrapper::new).collect() })
    }
}

impl IParameterChangesTrait for Changes {
    unsafe fn getParameterCount(&self) -> int32 {
        self.queues.len() as int32
    }

    unsafe fn getParameterData(&self, index: int32) -> *mut IParamValueQueue {
        let queue = usize::try_from(index).ok().and_then(|index| self.queues.get(index));
        queue.and_then(ComWrapper::as_com_ref).map_or(std::ptr::null_mut(), |queue| queue.as_ptr())
    }

    unsafe fn addParameterData(&self, _: *const ParamID, _: *mut int32) -> *mut IParamValueQueue {
        std::ptr::null_mut()
    }
}
