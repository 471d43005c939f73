// note: 0.30 0.3 33.33 2
decimal tenth = 0.1m;
decimal third = decimal.Round(100m / 3, 2);
Report.Note($"{tenth + 0.20m} {tenth * 3} {third} {(int)2.9m}");
