// R2003
class M
{
    public static readonly List<int> All = [1];
}

M.All.Add(2);
