// R2006 worker
class Many
{
    public static int Of(Func<int, int> f) => 0;
    public static int Of(Func<string, int> f) => 0;
    public static int Of(Func<double, int> f) => 0;
}

var n = Many.Of(a0 => Many.Of(a1 => Many.Of(a2 => Many.Of(a3 => Many.Of(a4 => Many.Of(a5 => Many.Of(a6 => Many.Of(a7 => Many.Of(a8 => Many.Of(a9 => Many.Of(a10 => Many.Of(a11 => Many.Of(a12 => Many.Of(a13 => Many.Of(a14 => Many.Of(a15 => Many.Of(a16 => Many.Of(a17 => a0.Wing))))))))))))))))));
