// R2002
var a = GC.AllocateUninitializedArray<byte>(1000);
