// R2002
var block = System.Runtime.InteropServices.Marshal.AllocHGlobal(100);
