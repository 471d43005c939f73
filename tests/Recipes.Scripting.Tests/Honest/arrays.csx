// note: 2x3 6 21 | 3 | 1,2,3 | -1
int[,] grid = { { 1, 2, 3 }, { 4, 5, 6 } };
int sum = 0;
foreach (int n in grid)
{
    sum += n;
}

int[][] jagged = [[1], [2, 3], []];
int[] all = [3, 1, 2];
Array.Sort(all);
Report.Note($"{grid.GetLength(0)}x{grid.GetLength(1)} {grid[1, 2]} {sum} | {jagged.Sum(row => row.Length)} | {string.Join(',', all)} | {Array.IndexOf(all, 9)}");
