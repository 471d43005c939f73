// R2002
long n = System.Runtime.CompilerServices.Unsafe.BitCast<double, long>(1.0);
