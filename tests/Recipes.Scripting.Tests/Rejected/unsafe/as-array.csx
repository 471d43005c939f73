// R2002
var o = System.Runtime.CompilerServices.Unsafe.As<int[]>("x");
o[9] = 1;
