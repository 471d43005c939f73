// note: rang 2, rang 4, silent
class Bell
{
    public event Action<int> Rang;
    public void Ring(int times) => Rang?.Invoke(times);
}

var said = new List<string>();
var bell = new Bell();
Action<int> note = times => said.Add($"rang {times}");
bell.Rang += note;
bell.Ring(2);
bell.Ring(4);
bell.Rang -= note;
bell.Ring(6);
Report.Note(string.Join(", ", said) + ", silent");
