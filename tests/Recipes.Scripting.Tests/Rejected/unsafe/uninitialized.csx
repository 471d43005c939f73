// R2002
System.Runtime.CompilerServices.RuntimeHelpers.GetUninitializedObject(typeof(string));
