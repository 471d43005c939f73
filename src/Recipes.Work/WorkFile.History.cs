using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Work;

public sealed partial class WorkFile
{
    private const int LongestName = 4096, LongestPath = 32 * 1024, LongestText = 64 * 1024, LongestSetup = 256 * 1024, LongestReport = 1024 * 1024;
    private const int MostLines = 10_000, MostSteps = 100_000, MostExports = 100_000, MostPrints = 10_000, MostNotes = 1000;
    private const int LongestCause = 80, LongestCost = 32;

    /// <summary>The undo stack of a garment setup; head 0 and no steps where nothing was committed under it.</summary>
    public WorkLine Line(string setup) => database.Guarded(() => database.Snapshot(() =>
    {
        var line = FindLine(setup);
        return new WorkLine(setup, line?.Head ?? 0, [.. ReadSteps(line).Select(row => row.Step)], ReadExports(line), ReadPrints(line));
    }));

    /// <summary>Keeps an artwork as the next step. Steps that were undone are abandoned.</summary>
    /// <param name="setup">The garment setup's name.</param>
    /// <param name="expectedHead">The step that the artwork was made from.</param>
    /// <param name="record">What is written down about the run.</param>
    /// <param name="after">The artwork.</param>
    /// <returns>The number of the new step.</returns>
    /// <exception cref="ProblemException"><see cref="Codes.WorkFileInUse"/>: another program writes, or has moved the head.</exception>
    public int Commit(string setup, int expectedHead, StepRecord record, Artwork after) => Commit(setup, expectedHead, [(record, after)]);

    /// <summary>Keeps several artworks as the next steps, all of them or none.</summary>
    /// <returns>The number of the last of them.</returns>
    /// <exception cref="ProblemException"><see cref="Codes.WorkFileInUse"/>: another program writes, or has moved the head.</exception>
    public int Commit(string setup, int expectedHead, IReadOnlyList<(StepRecord Record, Artwork After)> steps)
    {
        ArgumentException.ThrowIfNullOrEmpty(setup);
        ArgumentNullException.ThrowIfNull(steps);
        return Change(() =>
        {
            int head = expectedHead;
            foreach (var (record, after) in steps)
            {
                head = Append(setup, head, record, after);
            }

            return head;
        });
    }

    private int Append(string setup, int expectedHead, StepRecord record, Artwork after)
    {
        ArgumentNullException.ThrowIfNull(record);
        ArgumentNullException.ThrowIfNull(after);
        var line = FindLine(setup) ?? AddLine(setup);
        if (line.Head != expectedHead)
        {
            throw database.InUse($"another program went to step {line.Head} of setup '{setup}' meanwhile");
        }

        if (line.Last == MostSteps)
        {
            throw new ProblemException(Codes.OutputUnwritable, $"Setup '{setup}' has {MostSteps} steps, which is all that a work file keeps.",
                "Export the art and go on with the exported file.");
        }

        if (after.ComposedPixels > Artwork.MostComposedPixels)
        {
            throw new ProblemException(Codes.OutputUnwritable,
                "The step has more layers than a work file keeps: all of them together may have 2,000 megapixels.",
                "Export the art as PNG and go on with the exported file.");
        }

        int number = line.Last + 1;
        AddStep(line, number, record, store.Write(after));
        MoveHead(line, number, number);
        return number;
    }

    /// <summary>Goes back one step, or to a step below the head.</summary>
    /// <param name="setup">The garment setup's name.</param>
    /// <param name="toStep">The step to go back to, 0 for the original; null for one step back.</param>
    /// <exception cref="ProblemException">
    /// <see cref="Codes.NothingToUndo"/>: the head is the original, or that step already;
    /// <see cref="Codes.UnknownStep"/>: the head doesn't come from that step.
    /// </exception>
    public HeadMove Undo(string setup, int? toStep = null) => Change(() =>
    {
        var line = FindLine(setup);
        var steps = ReadSteps(line);
        if (line is null || line.Head == 0 || line.Head == toStep)
        {
            throw new ProblemException(Codes.NothingToUndo,
                line?.Head > 0 ? $"Setup '{setup}' is at step {toStep} already." : $"Setup '{setup}' has nothing to undo.",
                "See the steps with 'recipes history'.");
        }

        int target = steps[line.Head - 1].Step.Parent;
        while (toStep is { } wanted && target != wanted)
        {
            target = target > Math.Max(wanted, 0) ? steps[target - 1].Step.Parent : throw UnknownStep(setup, wanted);
        }

        return Go(line, target);
    });

    /// <summary>Goes forward one step on the way that the last commit took.</summary>
    /// <exception cref="ProblemException"><see cref="Codes.NothingToRedo"/>: no step was undone.</exception>
    public HeadMove Redo(string setup) => Change(() =>
    {
        var line = FindLine(setup);
        var steps = ReadSteps(line);
        var next = steps.Find(row => row.Step.State == StepState.Undone && row.Step.Parent == line!.Head);
        return next is not null
            ? Go(line!, next.Step.Number)
            : throw new ProblemException(Codes.NothingToRedo, $"Setup '{setup}' has nothing to redo.", "See the steps with 'recipes history'.");
    });

    /// <summary>Remembers an exported file, so that undo can say that it is out of date.</summary>
    /// <exception cref="ProblemException"><see cref="Codes.UnknownStep"/>: the line has no such step.</exception>
    public void RecordExport(string setup, ExportRecord export)
    {
        ArgumentException.ThrowIfNullOrEmpty(setup);
        ArgumentNullException.ThrowIfNull(export);
        Change(() =>
        {
            var line = FindLine(setup) ?? AddLine(setup);
            if (export.Step < 0 || export.Step > line.Last)
            {
                throw UnknownStep(setup, export.Step);
            }

            string path = Kept(export.Path, LongestPath, "path"), sha256 = Kept(export.Sha256, 64, "hash"), at = Text(export.At);
            database.Execute("INSERT OR REPLACE INTO export (path, line, step, sha256, made_at, digest) VALUES ($1, $2, $3, $4, $5, $6)",
                path, line.Id, export.Step, sha256, at, Digest.Of(path, setup, export.Step, sha256, at));
            return true;
        });
    }

    /// <summary>Remembers a real print. A file of a version that knew none is of the first one that does afterwards.</summary>
    /// <exception cref="ProblemException"><see cref="Codes.UnknownStep"/>: the line has no such step.</exception>
    public void RecordPrint(string setup, PrintRecord print)
    {
        ArgumentException.ThrowIfNullOrEmpty(setup);
        ArgumentNullException.ThrowIfNull(print);
        if (!CanBe(print.Cause, print.Cost?.ToString(), print.Cost))
        {
            throw new ArgumentException("A cause is a name, and a cost what PrintCost reads.", nameof(print));
        }

        Change(() =>
        {
            bool faulty = print.Cause is not null || print.Cost is not null;
            Upgrade(faulty ? WorkSchema.WithNotes : WorkSchema.WithPrints);
            var meta = ReadMeta();
            // Without a step, what was printed is what the work was last done under.
            WriteMeta(meta.Version, meta.LastSetup ?? setup);

            var line = FindLine(setup) ?? AddLine(setup);
            if (print.Step < 0 || print.Step > line.Last)
            {
                throw UnknownStep(setup, print.Step);
            }

            int number = ReadPrints(line).Length + 1;
            if (number > MostPrints)
            {
                throw new ProblemException(Codes.OutputUnwritable, $"Setup '{setup}' has {MostPrints} prints, which is all that a work file keeps.",
                    "Go on with a copy of the art.");
            }

            int good = print.IsGood ? 1 : 0;
            string? by = print.By is null ? null : Kept(print.By, LongestName, "name given with --by");
            string[] texts = [Kept(print.PixelsSha256, 64, "hash"), Kept(print.Note, LongestName, "note"),
                Kept(print.SetupJson, LongestSetup, "garment setup"), Text(print.At)];
            object?[] told = faulty ? [.. texts, print.Cause is null ? null : Kept(print.Cause, LongestCause, "cause"), print.Cost?.ToString()] : [.. texts];
            database.Execute("INSERT INTO print (line, number, step, good, made_by, digest, pixels_sha256, note, setup_json, made_at) "
                + "VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
                [line.Id, number, print.Step, good, by, Digest.Of([setup, number, print.Step, good, by, .. told]), .. texts]);
            if (faulty)
            {
                database.Execute("INSERT INTO fault (line, number, cause, cost) VALUES ($1, $2, $3, $4)", line.Id, number, print.Cause, print.Cost?.ToString());
            }

            return true;
        });
    }

    /// <summary>The notes on the art, in the order in which they were written.</summary>
    public ImmutableArray<ArtNote> Notes => database.Guarded(() => database.Snapshot(ReadNotes));

    /// <summary>Adds a note on the art. A file of a version that knew none is of the first one that does afterwards.</summary>
    public void AddNote(ArtNote note)
    {
        ArgumentNullException.ThrowIfNull(note);
        Change(() =>
        {
            Upgrade(WorkSchema.WithNotes);
            int number = ReadNotes().Length + 1;
            if (number > MostNotes)
            {
                throw new ProblemException(Codes.OutputUnwritable, $"The art has {MostNotes} notes, which is all that a work file keeps.",
                    "Go on with a copy of the art.");
            }

            string text = Kept(note.Text, LongestName, "note"), at = Text(note.At);
            string? by = note.By is null ? null : Kept(note.By, LongestName, "name given with --by");
            database.Execute("INSERT INTO note (number, text, made_by, made_at, digest) VALUES ($1, $2, $3, $4, $5)",
                number, text, by, at, Digest.Of(number, text, by, at));
            return true;
        });
    }

    // Brings the file to a version, in the transaction that needs it.
    private void Upgrade(int version)
    {
        var meta = ReadMeta();
        if (meta.Version < version)
        {
            database.Execute(string.Create(CultureInfo.InvariantCulture, $"{WorkSchema.Added(meta.Version, version)} PRAGMA user_version = {version}"));
            WriteMeta(version, meta.LastSetup);
        }
    }

    private sealed record LineRow(long Id, string Setup, int Head, int Last);

    private sealed record StepRow(WorkStep Step, Piece State);

    private T Change<T>(Func<T> change) => database.Guarded(() =>
    {
        try
        {
            return database.Transaction(change);
        }
        catch
        {
            store.Forget();
            throw;
        }
    });

    private HeadMove Go(LineRow line, int target)
    {
        var outdated = ReadExports(line).Where(export => export.Step == line.Head).ToImmutableArray();
        MoveHead(line, target, line.Last);
        return new HeadMove(line.Head, target, outdated);
    }

    private void MoveHead(LineRow line, int head, int last)
    {
        database.Execute("UPDATE line SET head = $1, last = $2, digest = $3 WHERE id = $4",
            head, last, Digest.Of(line.Setup, head, last), line.Id);
        WriteMeta(ReadMeta().Version, line.Setup);
    }

    private LineRow AddLine(string setup)
    {
        Kept(setup, LongestName, "name of the garment setup");
        return new LineRow(
            database.Insert("INSERT INTO line (setup, head, last, digest) VALUES ($1, 0, 0, $2)", setup, Digest.Of(setup, 0, 0)), setup, 0, 0);
    }

    private LineRow? FindLine(string setup) => ReadLines().Find(line => line.Setup == setup);

    private List<LineRow> ReadLines()
    {
        var lines = database.Query($"SELECT id, {WorkRow.Bounded("setup", LongestName)}, head, last, digest FROM line", MostLines, row =>
        {
            var line = new LineRow(row.Id(0), row.Text(1), row.Number(2, 0, MostSteps), row.Number(3, 0, MostSteps));
            Expect(row.Bytes(4), Digest.Of(line.Setup, line.Head, line.Last));
            return line;
        });
        return lines.DistinctBy(line => line.Setup).Count() == lines.Count ? lines : throw database.Damaged("one setup has two lines");
    }

    private void AddStep(LineRow line, int number, StepRecord record, Piece state)
    {
        string[] texts =
        [
            Kept(record.Recipe, LongestName, "recipe's name"),
            Kept(record.RecipeSha256, 64, "recipe's hash"),
            Kept(record.RecipeTitle, LongestName, "recipe's title"),
            Kept(new JsonObject(record.Parameters.Select(pair => KeyValuePair.Create(pair.Key, (JsonNode?)pair.Value))).ToJsonString(),
                LongestText, "list of parameters"),
            Kept(record.SetupJson, LongestSetup, "garment setup"),
            Kept(record.SetupSha256, 64, "hash of the garment setup"),
            Text(record.At),
            Kept(record.ReportJson, LongestReport, "report"),
        ];
        string? by = record.By is null ? null : Kept(record.By, LongestName, "name given with --by");
        database.Execute(
            """
            INSERT INTO step (line, number, parent, state, recipe_version, made_by, digest,
                recipe, recipe_sha256, recipe_title, parameters, setup_json, setup_sha256, made_at, report)
            VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
            """,
            [line.Id, number, line.Head, state.Id, record.RecipeVersion, by,
                Digest.Of([line.Setup, number, line.Head, state.Hash, record.RecipeVersion, by, .. texts]), .. texts]);
    }

    private List<StepRow> ReadSteps(LineRow? line)
    {
        if (line is null)
        {
            return [];
        }

        var rows = database.Query(
            $"""
            SELECT number, parent, step.state, recipe_version, {WorkRow.Bounded("made_by", LongestName)}, step.digest,
                (SELECT {WorkRow.Bounded("hash", 32)} FROM state WHERE id = step.state),
                {WorkRow.Bounded("recipe", LongestName)}, {WorkRow.Bounded("recipe_sha256", 64)}, {WorkRow.Bounded("recipe_title", LongestName)},
                {WorkRow.Bounded("parameters", LongestText)}, {WorkRow.Bounded("setup_json", LongestSetup)},
                {WorkRow.Bounded("setup_sha256", 64)}, {WorkRow.Bounded("made_at", 64)}, {WorkRow.Bounded("report", LongestReport)}
            FROM step WHERE line = $1 ORDER BY number
            """,
            line.Last,
            row => ReadStep(row, line),
            line.Id);
        if (rows.Count != line.Last || line.Head > line.Last || rows.Where((row, i) => row.Step.Number != i + 1).Any())
        {
            throw database.Damaged("a step is missing");
        }

        // The last commit decides which way redo goes; what leads to it up to the head is done, beyond it undone.
        var onTheWay = new HashSet<int> { 0 };
        for (int n = line.Last; n > 0; n = rows[n - 1].Step.Parent)
        {
            onTheWay.Add(n);
        }

        return onTheWay.Contains(line.Head)
            ? rows.ConvertAll(row => row with
            {
                Step = row.Step with
                {
                    State = !onTheWay.Contains(row.Step.Number) ? StepState.Abandoned
                        : row.Step.Number <= line.Head ? StepState.Done : StepState.Undone,
                },
            })
            : throw database.Damaged("the current step is an abandoned one");
    }

    private StepRow ReadStep(WorkRow row, LineRow line)
    {
        int number = row.Number(0, 1, MostSteps), parent = row.Number(1, 0, number - 1), version = row.Number(3, int.MinValue, int.MaxValue);
        var state = new Piece(row.Id(2), row.Bytes(6));
        string? by = row.TextOrNull(4);
        string[] texts = row.Texts(7, 8);
        Expect(row.Bytes(5), Digest.Of([line.Setup, number, parent, state.Hash, version, by, .. texts]));
        return new StepRow(
            new WorkStep(number, parent, StepState.Done, new StepRecord
            {
                Recipe = texts[0],
                RecipeVersion = version,
                RecipeSha256 = texts[1],
                RecipeTitle = texts[2],
                Parameters = Parse(texts[3], JsonValueKind.Object, Pairs),
                SetupJson = texts[4],
                SetupSha256 = texts[5],
                By = by,
                At = row.Time(13),
                ReportJson = texts[7],
            }),
            state);
    }

    private ImmutableSortedDictionary<string, string> Pairs(JsonElement list)
    {
        var pairs = ImmutableSortedDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        foreach (var pair in list.EnumerateObject())
        {
            pairs[pair.Name] = Text(pair.Value);
        }

        return pairs.ToImmutable();
    }

    private ImmutableArray<ExportRecord> ReadExports(LineRow? line) => line is null ? [] :
    [
        .. database.Query(
            $"""
            SELECT {WorkRow.Bounded("path", LongestPath)}, step, {WorkRow.Bounded("sha256", 64)}, {WorkRow.Bounded("made_at", 64)}, digest
            FROM export WHERE line = $1 ORDER BY path
            """,
            MostExports,
            row =>
            {
                var export = new ExportRecord(row.Text(0), row.Text(2), row.Number(1, 0, line.Last), row.Time(3));
                if (export.Path.Contains('\0', StringComparison.Ordinal))
                {
                    throw database.Damaged("an export has no name that a file can have");
                }

                Expect(row.Bytes(4), Digest.Of(export.Path, line.Setup, export.Step, export.Sha256, row.Text(3)));
                return export;
            },
            line.Id),
    ];

    private ImmutableArray<PrintRecord> ReadPrints(LineRow? line)
    {
        if (line is null || ReadMeta().Version < WorkSchema.WithPrints)
        {
            return [];
        }

        bool notes = ReadMeta().Version >= WorkSchema.WithNotes;
        string faults = notes ? $", fault.number, {WorkRow.Bounded("cause", LongestCause)}, {WorkRow.Bounded("cost", LongestCost)}" : "";
        int expected = 0;
        return
        [
            .. database.Query(
                $"""
                SELECT print.number, step, good, {WorkRow.Bounded("made_by", LongestName)}, digest, {WorkRow.Bounded("pixels_sha256", 64)},
                    {WorkRow.Bounded("note", LongestName)}, {WorkRow.Bounded("setup_json", LongestSetup)}, {WorkRow.Bounded("made_at", 64)}{faults}
                FROM print {(notes ? "LEFT JOIN fault ON fault.line = print.line AND fault.number = print.number" : "")}
                WHERE print.line = $1 ORDER BY print.number
                """,
                MostPrints,
                row => ReadPrint(row, line, ++expected, notes),
                line.Id),
        ];
    }

    // A fault that is missing, or that no print was told with, shows in the print's digest.
    private PrintRecord ReadPrint(WorkRow row, LineRow line, int expected, bool notes)
    {
        int number = row.Number(0, expected, expected), step = row.Number(1, 0, line.Last), good = row.Number(2, 0, 1);
        string? by = row.TextOrNull(3), cause = notes ? row.TextOrNull(10) : null, cost = notes ? row.TextOrNull(11) : null;
        string[] texts = row.Texts(5, 4);
        object?[] told = notes && !row.IsNull(9) ? [.. texts, cause, cost] : [.. texts];
        Expect(row.Bytes(4), Digest.Of([line.Setup, number, step, good, by, .. told]));
        var read = cost is null ? null : PrintCost.Read(cost);
        return CanBe(cause, cost, read)
            ? new PrintRecord
            {
                Step = step, PixelsSha256 = texts[0], IsGood = good == 1, Cause = cause, Cost = read, Note = texts[1], SetupJson = texts[2],
                By = by, At = row.Time(8),
            }
            : throw database.Damaged("a print's cause or cost is none");
    }

    private static bool CanBe(string? cause, string? written, PrintCost? cost) => (cause is null || PlainName.Is(cause))
        && (written is null || PrintCost.Read(written) == cost) && cost?.ToString() == written;

    private ImmutableArray<ArtNote> ReadNotes()
    {
        if (ReadMeta().Version < WorkSchema.WithNotes)
        {
            return [];
        }

        int expected = 0;
        return
        [
            .. database.Query(
                $"""
                SELECT number, {WorkRow.Bounded("text", LongestName)}, {WorkRow.Bounded("made_by", LongestName)}, {WorkRow.Bounded("made_at", 64)}, digest
                FROM note ORDER BY number
                """,
                MostNotes,
                row =>
                {
                    int number = row.Number(0, ++expected, expected);
                    var note = new ArtNote(row.Text(1), row.TextOrNull(2), row.Time(3));
                    Expect(row.Bytes(4), Digest.Of(number, note.Text, note.By, row.Text(3)));
                    return note;
                }),
        ];
    }

    private static string Text(DateTimeOffset time) => time.ToString("O", CultureInfo.InvariantCulture);
}
