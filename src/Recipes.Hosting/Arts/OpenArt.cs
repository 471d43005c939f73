using Recipes.Hosting.Shops;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>An art that was read, its work file and its garment setup, for one act: nothing holds a work file across acts.</summary>
public sealed class OpenArt : IDisposable
{
    private readonly Shop shop;
    private readonly ArtReference asked;

    private OpenArt(Shop shop, ArtReference asked, ArtFile file, WorkFile? work, ChosenSetup chosen) =>
        (this.shop, this.asked, File, Work, Chosen) = (shop, asked, file, work, chosen);

    /// <summary>The customer's file.</summary>
    public ArtFile File { get; }

    /// <summary>Its work file, or null where it has none.</summary>
    public WorkFile? Work { get; }

    /// <summary>The garment setup, and whether somebody chose it.</summary>
    public ChosenSetup Chosen { get; }

    /// <summary>Reads an art and opens its work file.</summary>
    /// <param name="shop">The shop.</param>
    /// <param name="art">The art.</param>
    /// <param name="forWriting">True: the work file will be changed, and nobody else may meanwhile.</param>
    /// <param name="toWrite">True: what comes of it is a result, so somebody must have chosen the setup.</param>
    /// <param name="refuse">
    /// What is refused before the work file is opened, and once it is known that the art is an original: an output in the place of it, for instance.
    /// </param>
    /// <exception cref="ProblemException">
    /// R3001, R3002, R3003 the art can't be read; R3009, R3010 its work file can't; R6003 it is in use; R1006, R1007 no such setup; R1008 nobody chose one.
    /// </exception>
    public static OpenArt Of(Shop shop, ArtReference art, bool forWriting = false, bool toWrite = false, Action? refuse = null)
    {
        ArgumentNullException.ThrowIfNull(shop);
        ArgumentNullException.ThrowIfNull(art);
        var file = shop.ReadArt(art.Path);
        refuse?.Invoke();
        var work = shop.OpenWork(art.Path, forWriting);
        try
        {
            var chosen = ChosenSetup.Find(art.Setup, work);
            return new OpenArt(shop, art, file, work, toWrite ? chosen.Required() : chosen);
        }
        catch
        {
            work?.Dispose();
            throw;
        }
    }

    /// <summary>The art's current state, decoded or from its work file.</summary>
    /// <param name="workers">Who decodes.</param>
    /// <exception cref="ProblemException">R3 codes: it can't be decoded.</exception>
    public ArtState State(WorkerPool workers) => shop.FindState(File, Work, Chosen, asked.Original, workers).As(asked.Kind);

    /// <summary>Closes the work file.</summary>
    public void Dispose() => Work?.Dispose();
}
