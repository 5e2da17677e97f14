"""The changes to Pyodide's two scripts without which a memory image with dynamic libraries cannot be made or laid in.

Both boots run the changed scripts. Every change is inert unless `loadPyodide` is given an option ``_image``: an object
with the hooks named here, a recorder at build time (`image_make.mjs`) and a restorer in the page (`site/image.mjs`).
Each text must be found exactly once, or the build stops.
"""

from __future__ import annotations

from dataclasses import dataclass

from console import BuildError


@dataclass(frozen=True)
class Patch:
    file: str
    why: str
    old: str
    new: str


ASM, LOADER = "pyodide.asm.mjs", "pyodide.mjs"

PATCHES = (
    Patch(
        ASM,
        "A library lands where memory and table happen to end. Pointers inside the image are absolute, so at the restore "
        "each library must go exactly where it was: the recorder is told the places, the restorer gives them.",
        "var memoryBase=metadata.memorySize?alignMemory(getMemory(metadata.memorySize+memAlign),memAlign):0;"
        "var tableBase=metadata.tableSize?wasmTable.length:0;",
        "var placed=Module.API.config._image?.placed?.();"
        "var memoryBase=placed?placed.memory:metadata.memorySize?"
        "alignMemory(getMemory(metadata.memorySize+memAlign),memAlign):0;"
        "var tableBase=placed?placed.table:metadata.tableSize?wasmTable.length:0;"
        "Module.API.config._image?.loading?.(libName,flags,localScope,handle||0,memoryBase,tableBase);",
    ),
    Patch(
        ASM,
        "At the restore the table is made as long as it was at once, since slots of functions lie between the libraries.",
        "if(metadata.tableSize){wasmTable.grow(metadata.tableSize)}",
        "if(metadata.tableSize&&!placed){wasmTable.grow(metadata.tableSize)}",
    ),
    Patch(
        ASM,
        "Reading every slot of the table to learn which function lies where takes long; at the restore it is known by name.",
        "updateTableMap(tableBase,metadata.tableSize);moduleExports=",
        "if(!placed)updateTableMap(tableBase,metadata.tableSize);moduleExports=",
    ),
    Patch(
        ASM,
        "The image already holds relocated data.",
        "if(applyRelocs){if(runtimeInitialized)",
        "if(applyRelocs&&!placed){if(runtimeInitialized)",
    ),
    Patch(
        ASM,
        "The image already holds what constructors made; running them again would make it twice.",
        "if(init){if(runtimeInitialized)",
        "if(init&&!placed){if(runtimeInitialized)",
    ),
    Patch(
        ASM,
        "What a library needs has been placed before it and is not on the file system; its symbols must be in reach.",
        "for(var needed of metadata.neededDynlibs){needed=findLibraryFS",
        "if(Module.API.config._image?.placed?.()){for(var needed of metadata.neededDynlibs)"
        "Object.assign(localScope??{},Module.API.config._image.needed(LDSO,needed));return loadModule()}"
        "for(var needed of metadata.neededDynlibs){needed=findLibraryFS",
    ),
    Patch(
        ASM,
        "Exported functions get table slots in the order of need, which another browser does not share: slots are recorded "
        "by library and symbol (with ~ where the library's own table part held the function already), and given out by "
        "these names at the restore.",
        "var addFunction=(func,sig)=>{var rtn=getFunctionAddress(func);if(rtn){return rtn}var ret=getEmptyTableSlot();",
        "var addFunction=(func,sig,symbol)=>{var image=Module.API.config._image;var given=image?.slot?.(symbol);"
        "if(given<0){functionsInTableMap.set(func,~given);return ~given}"
        "var rtn=getFunctionAddress(func);if(rtn){image?.slotted?.(~rtn,symbol);return rtn}"
        "var ret=given??getEmptyTableSlot();image?.slotted?.(ret,symbol);",
    ),
    Patch(
        ASM,
        "The symbol's name, for the slot above.",
        "newValue=addFunction(value)}",
        "newValue=addFunction(value,undefined,symName)}",
    ),
    Patch(
        ASM,
        "The symbol's name, for the slot above.",
        "entry.value=addFunction(value,value.sig)}",
        "entry.value=addFunction(value,value.sig,symName)}",
    ),
    Patch(
        ASM,
        "After each library all symbols of all libraries are looked through for those not found yet, half of the time it "
        "takes to put them back: at the restore only those that this library added are.",
        "var reportUndefinedSymbols=()=>{for(var[symName,entry]of Object.entries(GOT)){",
        "var reportUndefinedSymbols=()=>{var asked=GOTAsked.splice(0);"
        "for(var[symName,entry]of Module.API?.config?._image?.placed?.()?asked.map(n=>[n,GOT[n]]):Object.entries(GOT)){",
    ),
    Patch(
        ASM,
        "Which symbols have been asked for since they were looked through last, for the change above.",
        'rtn=GOT[symName]=new WebAssembly.Global({value:"i32",mutable:true},-1)}',
        'rtn=GOT[symName]=new WebAssembly.Global({value:"i32",mutable:true},-1);GOTAsked.push(symName)}',
    ),
    Patch(
        ASM,
        "The list that the change above needs.",
        "var GOT={};var GOTHandler=",
        "var GOT={},GOTAsked=[];var GOTHandler=",
    ),
    Patch(
        ASM,
        "Opening a library copies its file into Python's memory, for threads that there are none of, and leaves it there: "
        "10 MB, in every image too.",
        "var libData=HEAP8.slice(data,data+dataSize);",
        "var libData=HEAP8.slice(data,data+dataSize);_free(data);"
        "HEAPU32[handle+28>>>2>>>0]=HEAPU32[handle+32>>>2>>>0]=0;",
    ),
    Patch(
        ASM,
        "The inner pieces that the restorer needs to put the libraries back in one go.",
        "var reportUndefinedSymbols=()=>{",
        "Module.imageParts={newDSO,mergeLibSymbols,loadWebAssemblyModule,getFunctionAddress,updateMemoryViews};"
        "var reportUndefinedSymbols=()=>{",
    ),
    Patch(
        ASM,
        "CPython calls functions of other signatures through a small module made at the start, which browsers on iOS go "
        "without. Its slot is taken in any case, so that later slots agree, and this browser's own pointer is kept: the "
        "image holds that of Node.",
        "const ptr=getPyEMTrampolinePtr();const offset=HEAP32[__PyEM_EMSCRIPTEN_TRAMPOLINE_OFFSET/4>>>0];"
        "HEAP32[(__PyRuntime+offset)/4>>>0]=ptr});",
        "const ptr=getPyEMTrampolinePtr();if(!ptr&&Module.API.config._image)wasmTable.grow(1);"
        "(Module.imageTrampoline=()=>{const offset=HEAP32[__PyEM_EMSCRIPTEN_TRAMPOLINE_OFFSET/4>>>0];"
        "HEAP32[(__PyRuntime+offset)/4>>>0]=ptr})()});",
    ),
    Patch(
        ASM,
        "The image is not one block after the header: its pages and libraries are laid in by the restorer.",
        "return Module.HEAP8.set(t),l}",
        "return API.config._image?API.config._image.lay(Module):Module.HEAP8.set(t),l}",
    ),
    Patch(
        ASM,
        "Memory that must grow does so by an eighth of a megabyte more than is asked for, not by a fifth of what there is.",
        "Math.min(overGrownHeapSize,requestedSize+100663296)",
        "Math.min(overGrownHeapSize,requestedSize+131072)",
    ),
    Patch(
        ASM,
        "Before the image is taken, free memory is zeroed by allocating all of it; the heap must not grow meanwhile.",
        "function _emscripten_resize_heap(requestedSize){",
        "function _emscripten_resize_heap(requestedSize){if(Module.API.config._image?.full)return 0;",
    ),
    Patch(
        ASM,
        "Python may hold JavaScript's undefined, which the stock serialiser refuses.",
        'if(!["object","function"].includes(typeof l))throw',
        'if(l===undefined){r.push({nothing:!0});continue}if(!["object","function"].includes(typeof l))throw',
    ),
    Patch(
        ASM,
        "The way back of the change above.",
        'else if("API"in o)s=API;',
        'else if("API"in o)s=API;else if("nothing"in o)s=undefined;',
    ),
    Patch(
        LOADER,
        "Image and libraries are still arriving while the core is compiled: wait for them where they are needed first.",
        "r=await Re(i,n);Fe(r,t);",
        "r=await Re(i,n);Fe(r,t);await t._image?.arrived?.(r);",
    ),
    Patch(
        LOADER,
        "A restored Python does not read its standard library at the start; it comes later, in the background.",
        "function he(e){let t=j(e);",
        "function he(e){let t=ArrayBuffer.isView(e)?e:j(e);",
    ),
)


def patched(file: str, text: str) -> str:
    """The text of Pyodide's ``file`` with its changes; raises `BuildError` when one does not fit."""
    for number, patch in enumerate(PATCHES, 1):
        if patch.file != file:
            continue
        found = text.count(patch.old)
        if found != 1:
            raise BuildError(
                f"change {number} to {file} fits {found} times, not once: {patch.old[:70]!r}. "
                f"It is there because: {patch.why} "
                "See 'The memory image' in DEVELOPERS.md for how to adapt it to another Pyodide."
            )
        text = text.replace(patch.old, patch.new)
    return text
