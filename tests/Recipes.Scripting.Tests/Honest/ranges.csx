// note: 5 | 2,3 | 4,5 | ffin | pu | 5,4
int[] all = [1, 2, 3, 4, 5];
List<int> list = [.. all];
string text = "puffin";
Range middle = 1..3;
Index last = ^1;
Report.Note($"{all[^1]} | {string.Join(',', all[middle])} | {string.Join(',', list[3..])} | {text[2..]} | {text[..2]} | {list[last]},{list[^2]}");
