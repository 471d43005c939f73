// R2002
var a = new int[1];
System.Runtime.CompilerServices.Unsafe.Add(ref a[0], 1000) = 1;
