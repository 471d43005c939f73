// R2002
System.Runtime.CompilerServices.Unsafe.As<string, object[]>(ref System.Runtime.CompilerServices.Unsafe.NullRef<string>());
