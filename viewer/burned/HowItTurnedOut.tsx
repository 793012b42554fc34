import { useState } from 'preact/hooks';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Forecast } from '../../src/forecast.ts';
import type { Entry } from '../../src/outcome/notebook.ts';
import { toneSentence } from '../../src/outcome/seen.ts';
import { darkerSentence } from '../../src/piece/darker.ts';
import { Choice } from '../bench/Choice.tsx';
import { FinishCut } from '../bench/FinishCut.tsx';
import { jobHash, keepPicture, noteBurn } from '../state/notebook.ts';
import { noteLearned, piecePhoto, pieceShown } from '../state/piece.ts';
import { comesWith } from '../state/shelf.ts';
import { settled, wished } from '../state/store.ts';
import { refuseSettings, trouble } from '../state/trouble.ts';
import { NameInput } from '../words/NameInput.tsx';
import { type PieceShown, runErrand } from '../worker/errand.ts';
import { type Answers, isUncut, saidWords, tonesTold, withPhoto } from './answers.ts';
import { Learned, type LearnedNow, ownName } from './Learned.tsx';
import { OperationTurnedOut } from './OperationTurnedOut.tsx';
import { PhotoOfPiece } from './PhotoOfPiece.tsx';
import { pictureUri } from './picture-uri.ts';

const KEEPS = [
  ['wood', 'the wood alone'],
  ['both', 'the wood and the machine'],
] as const;

/** What became of each operation, and what is learned from it. */
export function HowItTurnedOut({ made }: { readonly made: Forecast }) {
  const [answers, setAnswers] = useState<ReadonlyMap<number, Answers>>(new Map());
  const [keeps, setKeeps] = useState<'wood' | 'both'>('wood');
  const [typed, setTyped] = useState<string | null>(null);
  const [learned, setLearned] = useState<LearnedNow | null>(null);
  const [noted, setNoted] = useState<Entry | null>(null);
  const [working, setWorking] = useState(false);
  const { material, machine, cuts, stock } = made;
  const name = typed ?? ownName(material.name, Object.hasOwn(shippedMaterials, material.name));
  const piece = pieceShown.value;
  const isNew = piecePhoto.value?.isLearned === false;
  const shownTones = piece?.tones ?? [];
  const now = withPhoto(answers, isNew ? shownTones : [], stock?.thicknessMm ?? 1);
  const tones = tonesTold(now, shownTones);
  const said = saidWords(now);
  const isSaid = said !== '' || tones.length > 0;
  const isReady = settled.value && !working && isSaid && name.trim() !== '';
  const learn = async (): Promise<void> => {
    const of = wished.peek();
    if (!of) return;
    setWorking(true);
    trouble.value = null;
    try {
      const date = new Date().toISOString().slice(0, 10);
      const machineName = ownName(machine.name, comesWith.has(machine.name));
      const { burn, picture } = await runErrand({
        errand: 'learn',
        setup: of,
        said,
        photo: piece && tones.length > 0 ? { tones, name: piecePhoto.peek()?.file.name ?? '' } : null,
        burn: { date, job: of.job.name, jobHash: await jobHash(of.job.text) },
        name: name.trim(),
        machineName: keeps === 'both' ? machineName : null,
      });
      // Nobody has the learned wood yet: the entry says of which it is once it is put somewhere.
      const entry = noteBurn({ ...burn.entry, learned_as: null }, noted);
      keepPicture(entry, pictureUri(entry.picture === null ? picture : (piece?.small ?? picture)));
      setNoted(entry);
      setLearned({ burn, of, withMachine: keeps === 'both' });
    } catch (error) {
      refuseSettings('Not learned', error);
    } finally {
      setWorking(false);
    }
  };
  const uncut = [...now].find(([, each]) => isUncut(each));
  return (
    <section aria-labelledby="turned-out">
      <h2 id="turned-out">How it turned out</h2>
      <PhotoOfPiece />
      <ol class="operations turned-out">
        {made.operations.map(({ operation: { n, kind } }) => (
          <OperationTurnedOut
            key={n}
            n={n}
            kind={kind}
            made={made}
            answers={now.get(n) ?? null}
            shown={piece ? shownSentences(n, piece) : []}
            isToneShown={shownTones.some(({ operation }) => operation === n)}
            onSaid={(next) => setAnswers(new Map(answers).set(n, next))}
          />
        ))}
      </ol>
      <NameInput
        id="learned-name"
        label="Call the wood"
        value={name}
        onInput={({ currentTarget }) => setTyped(currentTarget.value)}
      />
      <p>
        It teaches{' '}
        <Choice label="what learns from it" value={keeps} options={KEEPS} after="." onChange={setKeeps} />
      </p>
      <p class="acts">
        <button type="button" class="press" aria-disabled={!isReady} onClick={() => isReady && void learn()}>
          Learn from it
        </button>
        <span class="quiet">{isSaid ? '' : 'once something is said above.'}</span>
      </p>
      <div role="status">
        {working ? <p class="quiet">Learning …</p> : null}
        {learned && !working ? (
          <Learned
            of={learned}
            onKept={() => {
              // The notebook finds the burn by the wood that it taught, too.
              if (noted) setNoted(noteBurn({ ...noted, learned_as: learned.burn.material.name }, noted));
              if (learned.burn.seen.length > 0) noteLearned();
              setAnswers(new Map());
              setNoted(null);
              setTyped(null);
            }}
          />
        ) : null}
      </div>
      {uncut && cuts.length > 0 && stock?.thicknessMm ? (
        <FinishCut
          key={`${uncut[0]} ${uncut[1].depthMm}`}
          cuts={cuts}
          thicknessMm={stock.thicknessMm}
          told={{ operation: uncut[0], depthMm: uncut[1].depthMm }}
        />
      ) : null}
    </section>
  );
}

/** What a photo of the piece shows of an operation. */
const shownSentences = (n: number, { tones, darker }: PieceShown): string[] => [
  ...tones.filter(({ operation }) => operation === n).map(toneSentence),
  ...darker.filter(({ operation }) => operation === n).map(darkerSentence),
];
