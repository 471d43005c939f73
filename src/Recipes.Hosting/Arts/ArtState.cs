using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>The art as it stands: the current state of its work file, or the file itself.</summary>
public sealed record ArtState
{
    /// <summary>The file on disk.</summary>
    public required ArtFile File { get; init; }

    /// <summary>The state's artwork.</summary>
    public required Artwork Art { get; init; }

    /// <summary>The file as reports name it.</summary>
    public required ArtIdentity Identity { get; init; }

    /// <summary>The step that the state is; 0 is the original.</summary>
    public required int Step { get; init; }

    /// <summary>What the steps up to here were, as a hash: two states are the same only where this is.</summary>
    public required string StateSha256 { get; init; }

    /// <summary>The garment setup.</summary>
    public required GarmentSetup Setup { get; init; }

    /// <summary>True where nobody chose the setup.</summary>
    public required bool SetupIsFallback { get; init; }

    /// <summary>The open work file, or null where there is none.</summary>
    public required WorkFile? Work { get; init; }

    /// <summary>The work file where it is of this very file: of one that was sent again it remembers nothing.</summary>
    public WorkFile? OwnWork => Work is { } work && work.Original.Sha256 == File.Sha256 ? work : null;

    /// <summary>The steps under the setup as they were when the state was read; known also once the work file is closed. Null where it has none.</summary>
    public WorkLine? Line
    {
        get => field ?? Work?.Line(Setup.Name);
        init;
    }

    /// <summary>What an export of ours wrote into the file, or null.</summary>
    public string? Provenance { get; init; }

    /// <summary>Finds the current state of an art.</summary>
    /// <param name="file">The file, as read.</param>
    /// <param name="work">Its open work file, or null.</param>
    /// <param name="setup">The setup.</param>
    /// <param name="original">True: the file itself, whatever steps there are.</param>
    /// <param name="workers">For decoding.</param>
    /// <param name="cancel">Ends decoding.</param>
    /// <exception cref="ProblemException">R3 codes; R6002 the file changed since the work began.</exception>
    public static ArtState Find(ArtFile file, WorkFile? work, ChosenSetup setup, bool original, WorkerPool workers, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(setup);
        if (work is null)
        {
            return FromFile(file, null, setup, workers, cancel);
        }

        if (work.Original.Sha256 != file.Sha256)
        {
            if (original)
            {
                return FromFile(file, work, setup, workers, cancel);
            }

            throw new ProblemException(Codes.ArtChanged, $"{file.Path} is no longer the file that the work began with.",
                "Put the earlier file back, use --original to look at the new file alone, or move the work file away to start anew. "
                    + "Where the new file has a name of its own, 'recipes carry-over OLD NEW' brings the steps onto it.", new Place(file.Path));
        }

        var line = work.Line(setup.Setup.Name);
        int step = original ? 0 : line.Head;
        var art = work.Read(setup.Setup.Name, step);
        art = art.WithGround(GroundOf(work, line, step, art));
        // What the file says of itself holds until a step: how far an export of ours was resampled, and of which state it is. The work file has its pixels.
        string? provenance = step == 0 && MayBeOurs(file) ? file.Decode(workers, cancel).Provenance : null;
        if (provenance is not null)
        {
            art = art.WithGround(art.Ground with { Scale = KindHint.ReadScale(provenance) });
        }

        return new ArtState
        {
            File = file,
            Work = work,
            Line = line,
            Art = art,
            Identity = new ArtIdentity(file.Path, file.Sha256, art.Width, art.Height, art.PixelsPerInch, work.Original.Format, work.Original.Notes),
            Step = step,
            StateSha256 = HashOf(file.Sha256, line, step),
            Setup = setup.Setup,
            SetupIsFallback = setup.IsFallback,
            Provenance = provenance,
        };
    }

    // A look for the word that all our files have, so that a customer's file isn't decoded twice; what they say is read by a worker.
    private static bool MayBeOurs(ArtFile file) => file.Bytes.AsSpan().IndexOf("Recipes"u8) >= 0 || file.Bytes.AsSpan().IndexOf("recipes.json"u8) >= 0;

    private static ArtState FromFile(ArtFile file, WorkFile? work, ChosenSetup setup, WorkerPool workers, CancellationToken cancel)
    {
        var decoded = file.Decode(workers, cancel);
        double scale = KindHint.ReadScale(decoded.Provenance);
        return new ArtState
        {
            File = file,
            Work = work,
            Line = work?.Line(setup.Setup.Name),
            // What it lies on is judged only where somebody asks.
            Art = scale == 1 ? decoded.Art : decoded.Art.WithGround(decoded.Art.Ground with { Scale = scale }),
            Identity = new ArtIdentity(file.Path, file.Sha256, decoded.Art.Width, decoded.Art.Height, decoded.Art.PixelsPerInch, decoded.Format, decoded.Notes),
            Step = 0,
            StateSha256 = HashOf(file.Sha256, null, 0),
            Setup = setup.Setup,
            SetupIsFallback = setup.IsFallback,
            Provenance = decoded.Provenance,
        };
    }

    /// <summary>The steps that led here, from the first.</summary>
    public ImmutableArray<WorkStep> Steps
    {
        get
        {
            var steps = new List<WorkStep>();
            for (int at = Step; at > 0; at = steps[^1].Parent)
            {
                steps.Add(Line!.Steps[at - 1]);
            }

            steps.Reverse();
            return [.. steps];
        }
    }

    /// <summary>The state as another kind of art than its pixels tell; itself where null.</summary>
    public ArtState As(ArtKind? kind) => kind is { } said ? this with { Art = Art.WithGround(Art.Ground with { Kind = said }) } : this;

    /// <summary>Refuses a state that is another than somebody saw.</summary>
    /// <param name="stateSha256">What they saw; null where they mean whatever is found.</param>
    /// <exception cref="ProblemException">R6002.</exception>
    public void RequireSeen(string? stateSha256)
    {
        if (stateSha256 is not null && stateSha256 != StateSha256)
        {
            throw new ProblemException(Codes.ArtChanged, $"{File.Path} isn't any more what was seen: steps were kept or taken back meanwhile.",
                "Look at it as it is now.", new Place(File.Path));
        }
    }

    /// <summary>True where the art, its steps and the garment setup are as they were when this state was read.</summary>
    /// <param name="now">The art as it was opened now, under this setup.</param>
    public bool IsStill(OpenArt now)
    {
        ArgumentNullException.ThrowIfNull(now);
        var line = now.Work?.Line(Setup.Name);
        return now.File.Sha256 == File.Sha256 && (now.Work is null || now.Work.Original.Sha256 == File.Sha256)
            && HashOf(File.Sha256, line, line?.Head ?? 0) == StateSha256 && now.Chosen.Setup == Setup;
    }

    // What the last step wrote down; where none did, what the art as it came shows, a figure on the whole canvas.
    private static Ground GroundOf(WorkFile work, WorkLine line, int step, Artwork art)
    {
        var canvas = new Box(0, 0, art.Width, art.Height);
        for (int at = step; at != 0;)
        {
            var done = line.Steps.First(known => known.Number == at);
            if (GroundJson.Read(OutsideJson.Parse(Encoding.UTF8.GetBytes(done.Record.ReportJson)).Object("ground"), canvas) is { } ground)
            {
                return ground;
            }

            at = done.Parent;
        }

        return (step == 0 ? art : work.Read(line.Setup, 0)).Ground with { Edge = canvas };
    }

    /// <summary>The hash of the original and the steps up to one.</summary>
    public static string HashOf(string originalSha256, WorkLine? line, int step)
    {
        var text = new StringBuilder(originalSha256);
        for (int at = step; at != 0;)
        {
            var done = line!.Steps.First(known => known.Number == at);
            at = done.Parent;
            text.Append(System.Globalization.CultureInfo.InvariantCulture,
                $"\n{done.Number} {done.Record.RecipeSha256} {done.Record.SetupSha256} {done.Record.At:O}");
            foreach (var (name, value) in done.Record.Parameters)
            {
                text.Append(System.Globalization.CultureInfo.InvariantCulture, $"\n  {name}={value}");
            }
        }

        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())));
    }
}
