// R2003
class M
{
    public static int X { get; set; }
}

M.X = 2;
