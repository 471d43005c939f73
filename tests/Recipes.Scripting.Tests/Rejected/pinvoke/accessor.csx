// R2003
class Native
{
    [System.Runtime.CompilerServices.UnsafeAccessor(System.Runtime.CompilerServices.UnsafeAccessorKind.Method, Name = "MemberwiseClone")]
    public static extern object M(object o);
}

Native.M("x");
