// note: 20 0 5 | 7
class Row(int width)
{
    private readonly int[] cells = new int[width];
    public int this[int x]
    {
        get => x >= 0 && x < cells.Length ? cells[x] : 0;
        set => cells[x] = value;
    }

    public int this[string name] => name.Length;
}

var row = new Row(3) { [1] = 20 };
row[2] = 5;
row[2] += 2;
Report.Note($"{row[1]} {row[9]} {row["wings"]} | {row[2]}");
