// A second process for the tests of the work file and the journal: one that is killed, one that holds a lock, one without the rights of root.
using System.Collections.Immutable;
using Recipes.Files;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

try
{
    string path = args[1];
    switch (args[0])
    {
        case "history":
            using (var work = WorkFile.Open(path))
            {
                Console.WriteLine($"head {work?.Line("a").Head.ToString() ?? "none"}");
            }

            break;
        case "commit":
            using (var work = WorkFile.Open(path, forWriting: true)!)
            {
                Console.WriteLine($"step {Commit(work, 1)}");
            }

            break;
        case "create":
            WorkFile.Create(path, new OriginalFile("art.png", [1, 2, 3], "PNG", []), Art(0)).Dispose();
            Console.WriteLine("created");
            break;
        case "fill":
            using (var work = WorkFile.Open(path, forWriting: true)!)
            {
                for (int i = 1; ; i++)
                {
                    Commit(work, i);
                }
            }

        case "hold":
            HeldFile.TryHold(path, out _);
            Console.WriteLine("held");
            Thread.Sleep(Timeout.Infinite);
            break;
        case "try-hold":
            Console.WriteLine(HeldFile.TryHold(path, out var held));
            held?.Dispose();
            break;
        case "new-key":
            SigningKey.Create(args[2], path);
            break;
        case "approve":
            // A recipe, the folder of keys and a key's name.
            Approval.Give(RecipeSource.Read(Path.GetFileNameWithoutExtension(path), path), 2, SigningKey.Find(args[3], args[2]), "Mara", new DateOnly(2026, 11, 25), () => []);
            Console.WriteLine("signed");
            break;
        case "journal":
            for (int n = 1; n <= int.Parse(args[3]); n++)
            {
                Journal.Append(path, [new JournalEntry { At = DateTimeOffset.UnixEpoch, Act = JournalAct.Commit, By = args[2], Step = n, Note = new string('x', n % 250) }], TimeSpan.FromMinutes(2));
            }

            break;
        case "loop":
            // Commits, undoes and redoes until it is killed; ready once all of its code is warm.
            var random = new Random(int.Parse(args[2]));
            using (var work = WorkFile.Open(path, forWriting: true)!)
            {
                for (int n = 0; ; n++)
                {
                    if (n == 3)
                    {
                        Console.WriteLine("ready");
                    }

                    var line = work.Line("a");
                    switch (random.Next(3))
                    {
                        case 0 when line.Head > 0:
                            work.Undo("a");
                            break;
                        case 1 when line.Steps.Any(step => step.State == StepState.Undone):
                            work.Redo("a");
                            break;
                        default:
                            Commit(work, line.Steps.Length + 1);
                            break;
                    }
                }
            }
    }

    return 0;
}
catch (ProblemException e)
{
    Console.WriteLine($"{e.Problems[0].Code.Id} {e.Message}");
    return (int)e.Exit;
}

// Step n of the line is noise seeded with n, so that whoever opens the file knows every pixel that it must hold.
static Artwork Art(int n)
{
    var random = new Random(n);
    return Artwork.FromPixels(Plane<Rgba8>.FromContiguous(300, 200, Enumerable.Range(0, 300 * 200)
        .Select(_ => new Rgba8((byte)random.Next(256), (byte)random.Next(256), (byte)n, 255)).ToArray()));
}

static int Commit(WorkFile work, int n) => work.Commit("a", work.Line("a").Head, new StepRecord
{
    Recipe = "noise",
    RecipeVersion = 1,
    RecipeSha256 = new string('0', 64),
    RecipeTitle = "Noise",
    Parameters = ImmutableSortedDictionary<string, string>.Empty,
    SetupJson = "{}",
    SetupSha256 = new string('0', 64),
    At = DateTimeOffset.UnixEpoch,
    ReportJson = "{}",
}, Art(n));
