// note: 6 9 b,c 3 True
List<int> list = [1, 2, 3];
int[] more = [.. list, 4, 5];
HashSet<string> set = ["a", "b"];
Dictionary<string, int> count = new() { ["a"] = 1, ["b"] = 2 };
count["b"] += 7;
foreach (var (name, number) in count)
{
    set.Add(name);
}

Span<int> Middle(Span<int> all) => all[1..^1];
string[] letters = "a b c".Split(' ');
int sum = 0;
foreach (int n in list)
{
    sum += n;
}

ReadOnlySpan<int> Fixed() => [1, 2, 3];
Report.Note($"{sum} {count["b"]} {string.Join(',', letters[1..])} {Middle(more).Length} {set.SetEquals(["a", "b"]) && Fixed().Length == 3}");
