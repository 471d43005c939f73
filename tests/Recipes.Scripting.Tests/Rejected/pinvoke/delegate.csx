// R2002
var p = System.Runtime.InteropServices.Marshal.GetFunctionPointerForDelegate((Action)(() => { }));
